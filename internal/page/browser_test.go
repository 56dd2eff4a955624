package page

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// browser is a real headless Chromium at the bench.
type browser struct {
	t    *testing.T
	ctx  context.Context
	site *site
	// base is the address that the browser knows the site by.
	base  string
	width int
	// axe is the source of axe-core, "" when it is not there.
	axe   string
	shots int
}

// missing skips the test, or fails it when the environment says that the browser
// must be there: SETSHADE_BROWSER=required.
func missing(t *testing.T, sentence string) {
	t.Helper()
	if os.Getenv("SETSHADE_BROWSER") == "required" {
		t.Fatal(sentence)
	}
	t.Skip(sentence)
}

// screen is what a browser shows pages on.
type screen struct {
	width, height int
	dark, touch   bool
}

// lanAddress is an address of a home network (RFC 1918). The browser is told to find the
// test's own server there: to it 127.0.0.1 is a secure place and an address like this is
// none, so that it sends other headers.
const lanAddress = "192.168.77.7"

// openBrowser opens a browser on a site of its own; with a gate, by its address in the
// local network.
func openBrowser(t *testing.T, on screen, gate *Gate) *browser {
	t.Helper()
	program := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			program = found
			break
		}
	}
	if program == "" {
		missing(t, "Chromium is not installed, so the pages were not driven by a browser")
	}
	b := &browser{t: t, site: newSite(t, gate), width: on.width}
	b.base = b.site.URL
	if path := os.Getenv("SETSHADE_AXE"); path != "" {
		source, err := os.ReadFile(path)
		require.NoError(t, err)
		b.axe = string(source)
	} else if os.Getenv("SETSHADE_BROWSER") == "required" {
		t.Fatal("SETSHADE_AXE must name axe.min.js of the npm package axe-core")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox,
		chromedp.WindowSize(on.width, on.height), chromedp.Flag("force-prefers-reduced-motion", true))
	if on.dark {
		options = append(options, chromedp.Flag("blink-settings", "preferredColorScheme=0"))
	}
	if gate != nil {
		at := b.site.Listener.Addr().String()
		_, port, err := net.SplitHostPort(at)
		require.NoError(t, err)
		options = append(options, chromedp.Flag("host-resolver-rules", fmt.Sprintf("MAP %s:%s %s", lanAddress, port, at)))
		b.base = "http://" + net.JoinHostPort(lanAddress, port)
	}
	allocated, end := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(end)
	var stop context.CancelFunc
	b.ctx, stop = chromedp.NewContext(allocated)
	t.Cleanup(stop)
	require.NoError(t, chromedp.Do(b.ctx)) // starts the browser, which lives as long as this context
	limited, stopLate := context.WithTimeout(b.ctx, 5*time.Minute)
	t.Cleanup(stopLate)
	b.ctx = limited
	var touch []chromedp.EmulateViewportOption
	if on.touch {
		touch = append(touch, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	b.run(chromedp.EmulateViewport(int64(on.width), int64(on.height), touch...))
	require.Equal(t, on.dark, script[bool](b, `matchMedia("(prefers-color-scheme: dark)").matches`))
	return b
}

func (b *browser) run(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Do(b.ctx, steps...))
}

// read runs a step that returns something.
func read[T any](b *browser, step chromedp.Action[T]) T {
	b.t.Helper()
	value, err := chromedp.Run(b.ctx, step)
	require.NoError(b.t, err)
	return value
}

func (b *browser) open(path string) {
	b.t.Helper()
	b.run(chromedp.Navigate(b.base+path), chromedp.WaitVisible(chromedp.CSS("h1")))
}

// submit presses the button that reads so, and waits for the page whose heading
// starts with a word.
func (b *browser) submit(button, heading string) {
	b.t.Helper()
	b.run(chromedp.Click(fmt.Sprintf(`//button[starts-with(normalize-space(.), %q)]`, button)))
	b.run(chromedp.WaitVisible(fmt.Sprintf(`//h1[starts-with(normalize-space(.), %q)]`, heading)))
}

func (b *browser) fill(selector, value string) {
	b.t.Helper()
	b.run(chromedp.SetValue(chromedp.CSS(selector), value))
}

func (b *browser) text(selector string) string {
	b.t.Helper()
	return read(b, chromedp.Text(chromedp.CSS(selector)))
}

// script runs a line of JavaScript and returns what it is.
func script[T any](b *browser, line string) T {
	b.t.Helper()
	return read(b, chromedp.Evaluate[T](line, chromedp.EvalAwaitPromise))
}

// soon waits for what a page still loads.
func (b *browser) soon(holds func() bool) bool {
	for range 200 {
		if holds() {
			return true
		}
		time.Sleep(100 * time.Millisecond)
	}
	return false
}

// look checks a page as a reader of any kind meets it, and takes its picture.
func (b *browser) look(name string) {
	b.t.Helper()
	b.shoot(name)
	// Reflow, WCAG 2.2, 1.4.10: no scrolling in two directions.
	across := script[int](b, "document.documentElement.scrollWidth")
	assert.LessOrEqual(b.t, across, b.width, "%s scrolls sideways", name)
	if b.axe == "" {
		return
	}
	var found struct {
		Violations []struct {
			ID, Impact, Help string
			Nodes            []struct{ HTML string }
		}
		Passes []struct{ ID string }
	}
	script[chromedp.Void](b, b.axe)
	told := script[string](b, `axe.run({runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then(r => JSON.stringify({violations: r.violations, passes: r.passes}))`)
	require.NoError(b.t, json.Unmarshal([]byte(told), &found))
	assert.Greater(b.t, len(found.Passes), 10, "axe-core found hardly anything to check on %s", name)
	for _, v := range found.Violations {
		assert.Fail(b.t, v.Help, "%s: %s (%s): %v", name, v.ID, v.Impact, v.Nodes)
	}
}

// shoot keeps a picture of the whole page in the folder SETSHADE_SCREENSHOTS.
func (b *browser) shoot(name string) {
	folder := os.Getenv("SETSHADE_SCREENSHOTS")
	if folder == "" {
		return
	}
	picture := read(b, chromedp.FullScreenshot(100))
	b.shots++
	file := fmt.Sprintf("%d-%02d-%s.png", b.width, b.shots, name)
	require.NoError(b.t, os.WriteFile(filepath.Join(folder, file), picture, 0o644))
}

// The whole job on a real server, a real store and a real browser, at the width
// of a phone in the dark and at that of a desk: photograph, record, learn, predict, rescue,
// print. Every page is checked by axe-core against WCAG 2.2 AA.
func TestBrowserDoesTheWholeJob(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser takes seconds to start")
	}
	for _, on := range []screen{{360, 740, true, false}, {1280, 800, false, false}} {
		t.Run(fmt.Sprint(on.width), func(t *testing.T) {
			b := openBrowser(t, on, nil)
			b.open("/shelf")
			assert.Contains(t, b.text("main"), "Bracken")
			b.look("shelf-empty")
			b.recordsCards()
			b.learns()
			b.predicts()
			b.matches()
			b.rescues()
			b.plansAndPrints()
			b.choosesAnchors()
			b.readsAgain()
			b.takesCopies()
		})
	}
}

func (b *browser) recordsCards() {
	folder := b.t.TempDir()
	for _, name := range []string{"bracken-set", "foxglove-set"} {
		file := filepath.Join(folder, name+".jpg")
		require.NoError(b.t, os.WriteFile(file, shipped(b.t, name+".jpg"), 0o600))
		b.open("/record")
		b.look("record")
		b.run(chromedp.SetUploadFiles(chromedp.CSS("#photo"), []string{file}), chromedp.Click(chromedp.CSS("summary")), chromedp.WaitVisible(chromedp.CSS("#plan")))
		b.fill("#plan", string(shipped(b.t, name+".plan")))
		b.submit("Look for drops", "Say which drop")
		const overlay = `performance.getEntriesByType("resource").filter(e => e.name.endsWith("/overlay.jpg")).reduce((n, e) => n + e.decodedBodySize, 0)`
		assert.True(b.t, b.soon(func() bool { return script[int](b, overlay) > 10_000 }), "the overlay did not come")
		b.run(chromedp.Click(chromedp.CSS(`.overlay a[href="#drop-3"]`)))
		assert.Equal(b.t, "drop-3", script[string](b, `document.querySelector(".drop-row:target").id`), "a tapped drop leads to its dose")
		b.look("draft")
		b.submit("Save", "Recorded")
		b.run(chromedp.WaitVisible(chromedp.CSS(".learned"))) // the page comes anew once it is
		b.look("recorded")
	}
}

func (b *browser) learns() {
	b.open("/learn")
	b.look("learn")
	b.submit("Learn Harrow Soy", "Learn")
	b.run(chromedp.WaitVisible(chromedp.CSS(".learned")))
	assert.Contains(b.t, b.text("main"), "Foxglove: trusted")
	b.look("lesson")
	b.open("/shelf")
	b.look("shelf")
}

func (b *browser) predicts() {
	b.open("/predict")
	before := b.text("#shade .patch code")
	// A slider is a slider to a keyboard too.
	at := script[string](b, `document.querySelector("#slider-0").value`)
	b.run(chromedp.Focus(chromedp.CSS("#slider-0")), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
	assert.NotEqual(b.t, at, script[string](b, `document.querySelector("#slider-0").value`))
	script[chromedp.Void](b, `{const s = document.querySelector("#slider-1"); s.value = s.max / 2; s.dispatchEvent(new Event("input", {bubbles: true}))}`)
	b.run(chromedp.Poll[chromedp.Void](`document.querySelector(".glance")?.textContent.includes("Foxglove")`))
	assert.NotEqual(b.t, before, b.text("#shade .patch code"), "the patch follows the sliders")
	assert.Contains(b.t, b.text(".more"), "95 times in 100")
	said := script[string](b, `document.querySelector("#shade-said").textContent`)
	assert.Contains(b.t, said, "Foxglove")
	assert.Less(b.t, len(said), 120, "what is spoken at each step is short")
	if b.width < 800 {
		// A slider that lies beneath the patch comes out from there with the focus.
		script[chromedp.Void](b, `{document.querySelector("#slider-1").focus(); scrollBy(0, document.querySelector("#slider-0").getBoundingClientRect().top - 20)}`)
		b.run(chromedp.KeyEvent(kb.Tab, chromedp.KeyModifiers(chromedp.ModifierShift)))
		covered := script[float64](b, `document.querySelector(".glance").getBoundingClientRect().bottom - document.activeElement.getBoundingClientRect().top`)
		assert.Equal(b.t, "slider-0", script[string](b, `document.activeElement.id`))
		assert.LessOrEqual(b.t, covered, 0.0, "the slider with the focus is in sight")
	}
	b.look("predict")
}

func (b *browser) matches() {
	b.open("/match")
	file := filepath.Join(b.t.TempDir(), "grey.png")
	require.NoError(b.t, os.WriteFile(file, greyPicture(b.t), 0o600))
	b.run(chromedp.Click(chromedp.CSS(".spot summary")), chromedp.SetUploadFiles(chromedp.CSS("#spot-photo"), []string{file}))
	b.run(chromedp.WaitVisible(chromedp.CSS("canvas")))
	script[chromedp.Void](b, `document.querySelector("#spot-across").focus()`)
	b.run(chromedp.KeyEvent(kb.ArrowRight))
	assert.Equal(b.t, "50.1", script[string](b, `document.querySelector("#spot-across").value`), "the spot moves by keyboard")
	b.look("match-spot")
	b.submit("Find recipes for the spot", "Match")
	b.run(chromedp.WaitVisible(chromedp.CSS("article")))
	assert.Contains(b.t, b.text("article"), "#807060", "the spot is of that grey")
	b.look("match-spot-found")
	b.open("/match")
	b.fill("#colour", "#c98d84")
	b.submit("Find recipes", "Match")
	b.run(chromedp.WaitVisible(chromedp.CSS("article")))
	b.look("match")
	b.open("/next")
	b.submit("Which drop", "Next")
	b.run(chromedp.WaitVisible(chromedp.CSS(".steps")))
	b.look("next")
}

// greyPicture is a picture of one warm grey, #807060.
func greyPicture(t *testing.T) []byte {
	t.Helper()
	picture := image.NewRGBA(image.Rect(0, 0, 300, 200))
	draw.Draw(picture, picture.Bounds(), image.NewUniform(color.RGBA{0x80, 0x70, 0x60, 0xff}), image.Point{}, draw.Src)
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, picture))
	return file.Bytes()
}

func (b *browser) rescues() {
	b.open("/rescue")
	b.look("rescue-questions")
	b.fill("#wax-mass", "900 g")
	b.fill("#load", "8")
	b.fill("#dose", "Bracken 6 chips/kg")
	b.run(chromedp.Click(chromedp.CSS(`input[name=become][value=lighter]`)))
	b.fill("#lighter", "40")
	b.fill("#pot", "1 kg")
	b.submit("Tell me", "Rescue")
	b.run(chromedp.WaitVisible(chromedp.CSS("#answer")))
	b.look("rescue")
	b.keepsStock()

	// Too pale, and too red: dye is added, and the rescue goes on from a drop.
	b.open("/rescue")
	b.fill("#wax-mass", "900 g")
	b.fill("#load", "8")
	b.fill("#dose", "Foxglove 0.2 g/kg")
	b.fill("#target", "#8d5a5c")
	b.submit("Tell me", "Rescue")
	b.run(chromedp.WaitVisible(chromedp.CSS("#answer")))
	assert.Contains(b.t, b.text("#answer h3"), "of Bracken")
	b.look("rescue-dyes")
	address := script[string](b, `document.querySelector("a[href^='/record?plan=']").href`)
	b.fill("#next", "#a97c7b")
	b.run(chromedp.Click(chromedp.CSS(`input[name=believe]`)))
	b.submit("Go on", "Rescue")
	b.run(chromedp.WaitVisible(`//a[normalize-space(.) = "Begin another rescue"]`))
	assert.Contains(b.t, b.text("#answer"), "after 1 drop")
	b.look("rescue-continued")
	b.run(chromedp.Navigate(address), chromedp.WaitVisible(chromedp.CSS("#plan")))
	assert.Contains(b.t, script[string](b, `document.querySelector("#plan").value`), "Foxglove", "the drop's dose is written already")
}

// keepsStock keeps what a rescue sets aside, and uses some of it.
func (b *browser) keepsStock() {
	address := script[string](b, `document.querySelector("a[href^='/stock?']").href`)
	b.run(chromedp.Navigate(address), chromedp.WaitVisible(chromedp.CSS("#mass")))
	b.submit("Set it aside", "Dyed stock")
	b.run(chromedp.WaitVisible(chromedp.CSS("#used-1")))
	b.fill("#used-1", "50 g")
	b.submit("Take it off", "Dyed stock")
	b.run(chromedp.WaitVisible(`//b[contains(., "324.0 g left")]`))
	assert.Contains(b.t, b.text("section"), "Bracken 3 g/kg")
	b.look("stock")
}

func (b *browser) plansAndPrints() {
	b.open("/batch")
	b.fill("#colours", "Dawn = Bracken 2 chips/kg x 6\nDusk = Foxglove 0.4 g/kg")
	b.fill("#times", "2")
	b.submit("Plan it", "Plan")
	b.run(chromedp.WaitVisible(chromedp.CSS(".answer")))
	b.look("batch")
	address := script[string](b, `document.querySelector("a[href^='/batch/sheet.html']").href`)
	b.submit("Keep it", "Batch log")
	b.look("log")
	for _, report := range []string{"/report/dye/report.html?dye=Bracken", "/report/shelf/report.html", "/report/batch/report.html?batch=1"} {
		b.open(report)
		styled := script[bool](b, `getComputedStyle(document.body).margin !== "8px" && [...document.images].every(i => i.naturalWidth > 0)`)
		assert.True(b.t, styled, "%s shows its style and pictures under its policy", report)
		across := script[int](b, "document.documentElement.scrollWidth")
		assert.LessOrEqual(b.t, across, b.width, "%s scrolls sideways", report)
		b.shoot("report")
	}
	b.run(chromedp.Navigate(address))
	assert.Contains(b.t, b.text("h1"), "12 pieces in Harrow Soy", "the sheet is that of the order")
	printed := read(b, chromedp.PrintToPDF())
	assert.True(b.t, strings.HasPrefix(string(printed), "%PDF-"), "the sheet did not print")
	b.shoot("sheet")
}

// choosesAnchors prints a card, brings later photographs to the second of two, and
// keeps the strip as it was measured, once its light is said.
func (b *browser) choosesAnchors() {
	b.open("/card")
	b.look("card-empty")
	sheet := script[string](b, `fetch("/card/test-card.pdf?" + new URLSearchParams(new FormData(document.querySelector("form[action='/card/test-card.pdf']")))).then(r => r.text())`)
	assert.True(b.t, strings.HasPrefix(sheet, "%PDF-"), "the form leads to a card")
	b.site.recordPrinted()
	b.open("/card")
	b.run(chromedp.Click(`//summary[starts-with(., "Choose its anchor")]`))
	// By keyboard: the next photograph is an arrow away.
	b.run(chromedp.Focus(chromedp.CSS("input[name=from]:checked")), chromedp.KeyEvent(kb.ArrowDown))
	b.look("card")
	b.submit("Make it the anchor", "Test card")
	b.run(chromedp.WaitVisible(chromedp.CSS("#prints [role=status]")))
	assert.Contains(b.t, b.text("#prints [role=status]"), "is now printed-2.jpg")
	b.look("card-chosen")

	b.run(chromedp.Click(`//summary[starts-with(., "I have the strip")]`), chromedp.WaitVisible(chromedp.CSS("#colours")))
	b.fill("#colours", strings.TrimPrefix(printedCards.strip, "# D65\n"))
	b.submit("Keep these colours", "Test card")
	b.run(chromedp.WaitVisible(chromedp.CSS("#colours-refused")))
	assert.Contains(b.t, b.text("#colours-refused"), "say which light")
	assert.Contains(b.t, script[string](b, `document.querySelector("#colours").value`), "14,", "what was written stays")
	// The browser goes to the refusal once it has laid the page out.
	b.run(chromedp.Poll[chromedp.Void](`document.querySelector("#colours-refused").getBoundingClientRect().top < innerHeight`))
	b.look("card-refused")
	b.fill("#light", "D65")
	b.submit("Keep these colours", "Test card")
	b.run(chromedp.WaitVisible(chromedp.CSS("#measured [role=status]")))
	assert.Contains(b.t, b.text("#measured [role=status]"), "14 patches of A5 print 1")
	b.look("card-measured")
}

func (b *browser) readsAgain() {
	before := b.site.swatches()
	b.open("/reread")
	b.look("reread")
	b.submit("Show what would change", "What would change")
	b.look("reread-shown")
	assert.Equal(b.t, before, b.site.swatches(), "looking changes nothing")
	b.submit("Put the new numbers in place", "Photographs read again")
	b.look("reread-kept")
	assert.NotEqual(b.t, before, b.site.swatches(), "the measured strip has moved colours")
}

func (b *browser) takesCopies() {
	b.open("/store")
	b.look("store")
	b.submit("Make a backup copy", "The backup is ready")
	b.look("store-backup")
	start := script[string](b, `fetch(document.querySelector("a[download]").href).then(r => r.text()).then(t => t.slice(0, 2))`)
	assert.Equal(b.t, "PK", start, "the link leads to a packed file")
}
