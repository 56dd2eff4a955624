// What forms do anyway, with fewer taps. Everything works without this file.
"use strict";

// Sliders answer at once: the part of the page named by data-live is fetched
// anew, the newest answer wins.
for (const form of document.querySelectorAll("form[data-live]")) {
  const target = document.getElementById(form.dataset.live);
  let running = null;
  const show = async () => {
    running?.abort();
    const mine = (running = new AbortController());
    const query = new URLSearchParams(new FormData(form));
    history.replaceState(null, "", "?" + query);
    query.set("part", "1");
    try {
      const answer = await fetch(form.action + "?" + query, { signal: mine.signal });
      const html = await answer.text();
      if (running === mine) target.innerHTML = html;
    } catch (error) {
      if (error.name !== "AbortError") target.textContent = "The page does not answer; is setshade serve still running?";
    }
  };
  form.addEventListener("input", (event) => {
    const said = event.target.parentElement.querySelector("output");
    if (said) said.textContent = event.target.value;
    show();
  });
  form.querySelector("button").hidden = true;
}

// Of many pages the one that is open stands in sight.
document.querySelector("nav a[aria-current]")?.scrollIntoView({ inline: "center", block: "nearest" });

// A photograph may be dropped on its field.
for (const place of document.querySelectorAll(".drop-here")) {
  const input = place.querySelector("input[type=file]");
  place.addEventListener("dragover", (event) => { event.preventDefault(); place.classList.add("over"); });
  place.addEventListener("dragleave", () => place.classList.remove("over"));
  place.addEventListener("drop", (event) => {
    event.preventDefault();
    place.classList.remove("over");
    if (event.dataTransfer.files.length) input.files = event.dataTransfer.files;
  });
}

// A colour that was picked is written into its field.
for (const pick of document.querySelectorAll("input[data-into]")) {
  pick.addEventListener("input", () => { document.getElementById(pick.dataset.into).value = pick.value; });
}

// Learning says how far it is.
for (const place of document.querySelectorAll("[data-progress]")) {
  const events = new EventSource(place.dataset.progress);
  const bar = place.querySelector("[data-bar]");
  events.addEventListener("step", (event) => {
    const [done, of] = event.data.split(" ").map(Number);
    if (!of) return;
    bar.max = of;
    bar.value = done;
    place.querySelector("[data-said]").textContent = `Leaving each drop out once: ${done} of ${of}.`;
  });
  events.addEventListener("ended", () => { events.close(); location.reload(); });
}

for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}
