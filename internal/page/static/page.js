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
      if (running !== mine) return;
      target.innerHTML = html;
      document.getElementById(form.dataset.live + "-said").textContent = target.querySelector("[data-say]")?.dataset.say ?? "";
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

// A photograph is sent as soon as it is there, and how far it is, is told. What a server
// that went away did not get is still in the form.
for (const form of document.querySelectorAll("form[data-send]")) {
  const [input, said, button] = [form.querySelector("input[type=file]"), form.querySelector("[data-sending]"), form.querySelector("button")];
  const bar = said.querySelector("progress");
  button.hidden = true;
  const fail = (why) => { said.textContent = why; button.hidden = false; };
  input.addEventListener("change", () => {
    if (!input.files.length) return;
    said.hidden = false;
    const sending = new XMLHttpRequest();
    sending.responseType = "document";
    sending.upload.addEventListener("progress", (event) => { bar.max = event.total; bar.value = event.loaded; });
    sending.addEventListener("load", () => {
      const refusal = sending.response?.querySelector(".refusal");
      if (sending.status === 200 && sending.responseURL !== form.action) location.assign(sending.responseURL);
      else fail(refusal?.textContent ?? "The photograph was not taken. Send it again.");
    });
    sending.addEventListener("error", () => fail("The page does not answer; is setshade serve still running? The photograph is still here: send it again once it is."));
    sending.open("POST", form.action);
    sending.send(new FormData(form));
  });
}

// What is said of a card is kept at once, so that neither a reload nor an empty battery
// loses it.
for (const form of document.querySelectorAll("form[data-keep]")) {
  form.addEventListener("change", () => {
    const said = new URLSearchParams(new FormData(form));
    said.set("do", "keep");
    fetch(form.action, { method: "POST", body: said, redirect: "manual" }).catch(() => {});
  });
}

// What a link on the page leads to is opened.
const openTarget = () => {
  const at = document.getElementById(location.hash.slice(1));
  if (at?.matches("details")) at.open = true;
};
addEventListener("hashchange", openTarget);
openTarget();

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
  const field = document.getElementById(pick.dataset.into);
  pick.addEventListener("input", () => { field.value = pick.value; });
  field.addEventListener("input", () => { if (/^#[0-9a-f]{6}$/i.test(field.value)) pick.value = field.value; });
}

// The spot to read in a photograph has a ring around it. A tap moves it, and so do
// the two sliders, for those who use a keyboard.
for (const place of document.querySelectorAll("[data-spot]")) {
  const canvas = place.querySelector("canvas");
  const draw = canvas.getContext("2d");
  const [across, down] = place.querySelectorAll("input[type=range]");
  let picture = null;
  const mark = () => {
    if (!picture) return;
    draw.drawImage(picture, 0, 0, canvas.width, canvas.height);
    const radius = Math.max(4, Math.min(canvas.width, canvas.height) / 50);
    for (const [colour, width] of [["#000", 5], ["#fff", 2]]) {
      draw.beginPath();
      draw.arc((across.value / 100) * canvas.width, (down.value / 100) * canvas.height, radius, 0, 7);
      draw.strokeStyle = colour;
      draw.lineWidth = width;
      draw.stroke();
    }
  };
  place.querySelector("input[type=file]").addEventListener("change", async (event) => {
    picture = event.target.files[0] && (await createImageBitmap(event.target.files[0]).catch(() => null));
    canvas.hidden = !picture; // what this browser cannot show is read all the same
    if (!picture) return;
    const scale = Math.min(1, 1000 / Math.max(picture.width, picture.height));
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    mark();
  });
  // A click is a tap; a touch that scrolls the page is none.
  canvas.addEventListener("click", (event) => {
    across.value = (event.offsetX / canvas.clientWidth) * 100;
    down.value = (event.offsetY / canvas.clientHeight) * 100;
    mark();
  });
  for (const slider of [across, down]) slider.addEventListener("input", mark);
}

// A dye brings the unit that it is counted in.
for (const dye of document.querySelectorAll("select[data-unit-into]")) {
  dye.addEventListener("change", () => {
    const usual = dye.selectedOptions[0].dataset.unit;
    if (usual) document.getElementById(dye.dataset.unitInto).value = usual;
  });
}

// A job says how far it is.
for (const place of document.querySelectorAll("[data-progress]")) {
  const events = new EventSource(place.dataset.progress);
  const bar = place.querySelector("[data-bar]");
  events.addEventListener("step", (event) => {
    const [done, of] = event.data.split(" ").map(Number);
    if (!of) return;
    bar.max = of;
    bar.value = done;
    place.querySelector("[data-said]").textContent = `${place.dataset.step}: ${done} of ${of}.`;
  });
  events.addEventListener("ended", () => { events.close(); location.reload(); });
  // While the server is away the browser asks again; one that was started anew does not
  // know this job, and its page says so.
  events.addEventListener("error", () => {
    if (events.readyState === EventSource.CLOSED) location.reload();
    else place.querySelector("[data-said]").textContent = "The page does not answer; is setshade serve still running? This goes on once it does.";
  });
}

for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}
