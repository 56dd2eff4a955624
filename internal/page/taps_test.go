package page

import (
	"bytes"
	"context"
	"fmt"
	"image/jpeg"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// hand counts what a maker does with wax on it.
type hand struct {
	*browser
	taps, keys int
	scrolled   float64
}

// tapOn taps what a selector finds; where it is not in sight, the page is
// scrolled first, and how far is counted.
func (h *hand) tapOn(selector string) {
	h.t.Helper()
	before := script[float64](h.browser, "scrollY")
	script[chromedp.Void](h.browser, fmt.Sprintf(`{const e = document.querySelector(%q), r = e.getBoundingClientRect(); if (r.top < 0 || r.bottom > innerHeight) e.scrollIntoView({block: "center"})}`, selector))
	after := script[float64](h.browser, "scrollY")
	h.scrolled += max(after-before, before-after)
	h.run(chromedp.Tap(chromedp.CSS(selector)))
	h.taps++
}

// photographs counts the camera's own taps: it opens by the page's button, takes the
// picture, and asks whether to use it.
func (h *hand) photographs(name string) {
	file := filepath.Join(h.t.TempDir(), name)
	require.NoError(h.t, os.WriteFile(file, shipped(h.t, name), 0o600))
	assert.Equal(h.t, "environment", script[string](h.browser, `document.querySelector("#photo").getAttribute("capture")`), "the camera opens, not a list of files")
	covers := script[bool](h.browser, `{const l = document.querySelector("label[for=photo]").getBoundingClientRect(); document.elementFromPoint(l.x + l.width / 2, l.y + l.height / 2).id === "photo" && l.bottom < innerHeight}`)
	assert.True(h.t, covers, "the button that opens the camera is in sight")
	h.taps += 3
	h.run(chromedp.SetUploadFiles(chromedp.CSS("#photo"), []string{file}))
	h.run(chromedp.WaitVisible(`//h1[starts-with(normalize-space(.), "Say which drop")]`))
}

// From a photograph to the doses of a dye: with the doses of the card before five taps and
// no key, of a card that is new at most twelve taps.
func TestBrowserOfAPhoneGetsADoseInFiveTaps(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser takes seconds to start")
	}
	b := openBrowser(t, screen{360, 780, true, true}, nil)
	// The same card was photographed last week; its file has other bytes.
	picture, err := jpeg.Decode(bytes.NewReader(shipped(t, "foxglove-set.jpg")))
	require.NoError(t, err)
	var before bytes.Buffer
	require.NoError(t, jpeg.Encode(&before, picture, &jpeg.Options{Quality: 97}))
	_, err = b.site.workshop.Record(context.Background(), workshop.Card{
		PhotoName: "last-week.jpg", Photo: before.Bytes(), PlanText: string(shipped(t, "foxglove-set.plan")),
	})
	require.NoError(t, err)
	b.open("/")
	b.look("taps-home")
	h := &hand{browser: b}
	h.photographs("foxglove-set.jpg")
	b.look("taps-draft")
	h.tapOn("button[value=last]")
	b.run(chromedp.WaitVisible(`//summary[contains(., "Foxglove")]`))
	b.look("taps-filled")
	h.tapOn(".bar button")
	b.run(chromedp.WaitVisible(chromedp.CSS(".learned .doses")))
	b.look("taps-learned")
	assert.Contains(t, b.text(".learned .doses"), "g/kg", "each dose in the maker's own unit")
	t.Logf("same doses as last time: %d taps, %d keys, %.0f px of scrolling", h.taps, h.keys, h.scrolled)
	assert.LessOrEqual(t, h.taps, 5)
	assert.Zero(t, h.keys)
	assert.Zero(t, h.scrolled)
}

// What was said of a card outlasts the server, and a drop that ran is left out.
func TestACardIsToldAfterARestart(t *testing.T) {
	s := newSite(t, nil)
	at := s.upload("b.jpg", bytes.NewReader(shipped(t, "bracken-set.jpg")), map[string]string{"wax": "Harrow Soy", "state": "set"}).Header.Get("Location")
	r := s.post(at, url.Values{"do": {"ladder"}, "ladder-dye": {"Bracken"}, "ladder-from": {"0.5"}, "ladder-unit": {"chips/kg"}, "ladder-undyed": {"1"}})
	require.Equal(t, at, r.Header.Get("Location"), r.body)

	life, stop := context.WithCancel(context.Background())
	pages := New(life, s.workshop, nil)
	defer pages.Wait()
	defer stop()
	s.Config.Handler = pages
	assert.Contains(t, s.get("/").body, at, "it waits to be told")
	body := s.get(at).body
	for _, says := range []string{"undyed", "Bracken 0.5 chips/kg", "Bracken 1 chips/kg", "Bracken 32 chips/kg"} {
		assert.Contains(t, body, "</b> "+says, "a ladder that doubles")
	}
	given := url.Values{}
	for i, amount := range []string{"", "0.5", "1", "2.5", "5", "10", "1.5", ""} {
		dye := map[bool]string{true: "Bracken", false: "undyed"}[amount != ""]
		for field, value := range map[string]string{"dye": dye, "amount": amount, "unit": "chips/kg"} {
			given.Set(fmt.Sprintf("%s-%d-0", field, i+1), value)
		}
	}
	given.Set("dye-8-0", "left out")
	told := s.follow(s.post(at, given))
	assert.Contains(t, told.body, "7 swatches are kept")
	kept, err := s.workshop.SetDrops(context.Background(), 100)
	require.NoError(t, err)
	require.Len(t, kept, 7)
	assert.NotContains(t, s.get("/").body, at, "nothing waits any more")

	// A wrong label is changed, and the change taken back.
	card := "/card/" + kept[0].Photo.SHA256
	at = s.post(card+"/change", nil).Header.Get("Location")
	assert.Contains(t, s.get(at).body, "</b> left out")
	given.Set("dye-3-0", "Sorrel")
	given.Set("unit-3-0", "drops/kg")
	require.Equal(t, 303, s.post(at, given).StatusCode)
	doses := func() (said []string) {
		kept, err := s.workshop.SetDrops(context.Background(), 100)
		require.NoError(t, err)
		for _, sw := range kept {
			said = append(said, sw.Recipe.String())
		}
		return said
	}
	assert.Contains(t, strings.Join(doses(), "; "), "Sorrel")
	require.Equal(t, 303, s.post("/undo", nil).StatusCode)
	assert.NotContains(t, strings.Join(doses(), "; "), "Sorrel")
	require.Equal(t, 303, s.post(card+"/remove", nil).StatusCode)
	assert.Empty(t, doses())
	assert.Contains(t, s.get("/").body, "swatches ")
	require.Equal(t, 303, s.post("/undo", nil).StatusCode)
	assert.Len(t, doses(), 7)
}

// crowd records many cards of drops without reading a photograph.
func (s *site) crowd(cards, drops int) {
	s.t.Helper()
	for card := range cards {
		swatches := make([]wax.Swatch, drops)
		for i := range swatches {
			swatches[i] = wax.Swatch{Wax: "Harrow Soy", State: wax.SetState, Card: plan.UsualCard, Drop: i + 1, AreaPx: 1000, AreaShare: 0.01, Colour: spectrum.Measured{Lab: spectrum.Lab{L: 60, A: 10, B: 5}}}
			for k := range i % 3 {
				swatches[i].Recipe = append(swatches[i].Recipe, wax.Part{Dye: []string{"Bracken", "Foxglove"}[k], DoseGPerKg: 1 + float64(i%20)})
			}
			for k := range 3 {
				swatches[i].Colour.Cov[k][k] = 0.1
			}
		}
		_, err := s.workshop.Store.Record(context.Background(), store.Photo{
			Name: fmt.Sprintf("card-%d.jpg", card), Bytes: fmt.Append(nil, card), PlanText: "wax Harrow Soy\nstate set\n1 undyed", Reader: 1, RecordedAt: time.Now(),
		}, swatches)
		require.NoError(s.t, err)
	}
}

// pagesOfMany are those that list what there are many of.
var pagesOfMany = []string{"/", "/shelf", "/record", "/learn", "/predict", "/match", "/rescue", "/next", "/batch", "/stock", "/store", "/card", "/reread"}

// A page is no longer, however many swatches there are: 200 kB owed.
func TestPagesStayShort(t *testing.T) {
	s := newSite(t, nil)
	s.crowd(3, 500)
	for _, path := range pagesOfMany {
		assert.Less(t, len(s.get(path).body), 200_000, path)
	}
	assert.Contains(t, s.get("/shelf").body, "/shelf?before=1201")
	assert.Contains(t, s.get("/shelf?before=1201").body, ">1200: ")
}

// The owed figure: of 100,000 swatches, any page in less than 100 ms.
func BenchmarkPagesOf100k(b *testing.B) {
	s := newSite(b, nil)
	s.crowd(200, 500)
	for _, path := range pagesOfMany {
		b.Run(path[1:], func(b *testing.B) {
			for b.Loop() {
				r := s.get(path)
				require.Equal(b, 200, r.StatusCode)
				b.ReportMetric(float64(len(r.body))/1000, "kB")
			}
		})
	}
}
