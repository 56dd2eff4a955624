package page

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// action is where the form of a page goes whose address begins so, with its key.
func (s *site) action(page, begins string) string {
	s.t.Helper()
	found := regexp.MustCompile(`action="(` + regexp.QuoteMeta(begins) + `[^"]*)"`).FindStringSubmatch(s.get(page).body)
	require.NotNil(s.t, found, "%s has no form for %s", page, begins)
	return found[1]
}

// A form that arrives twice, because of a second tap, a reload or the way back, counts
// once and is answered alike; one with other words, or after a refusal, counts.
func TestAFormCountsOnce(t *testing.T) {
	s, ctx := newLearnedSite(t), context.Background()
	left := func() float64 {
		stock, err := s.workshop.Store.Stock(ctx, 1)
		require.NoError(t, err)
		return stock.TotalG()
	}

	aside := url.Values{"dose": {"Bracken 2 g/kg"}, "mass": {"1 kg"}}
	to := s.action("/stock", "/stock")
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() { assert.Equal(t, "/stock", s.send(to, aside).Header.Get("Location")) })
	}
	all.Wait()
	stocks, err := s.workshop.Store.Stocks(ctx)
	require.NoError(t, err)
	assert.Len(t, stocks, 1)

	to = s.action("/stock", "/stock/1/use")
	assert.Equal(t, 422, s.send(to, url.Values{"used": {"many"}}).StatusCode)
	for range 3 {
		r := s.send(to, url.Values{"used": {"20 g"}})
		assert.Equal(t, 303, r.StatusCode, "what was refused before counts now")
		assert.Equal(t, "/stock", r.Header.Get("Location"))
	}
	assert.InDelta(t, 980, left(), 1e-9)
	require.Equal(t, 303, s.send(to, url.Values{"used": {"30 g"}}).StatusCode)
	assert.InDelta(t, 950, left(), 1e-9, "other words are another wish")
	require.Equal(t, 303, s.send(s.action("/stock", "/stock/1/use"), url.Values{"used": {"30 g"}}).StatusCode)
	assert.InDelta(t, 920, left(), 1e-9, "and so is the form of a page that was loaded anew")

	order := url.Values{"colours": {"undyed"}, "fill": {"pieces"}, "pieces": {"3"}, "piece-mass": {"40 g"}}
	to = s.action("/batch?"+order.Encode(), "/log")
	for range 2 {
		assert.Equal(t, "/log", s.send(to, order).Header.Get("Location"))
	}
	batches, err := s.workshop.Batches(ctx)
	require.NoError(t, err)
	assert.Len(t, batches, 1)

	r := s.send("/stock", aside)
	assert.Equal(t, 422, r.StatusCode, "a form without its key is none of the page's")
	assert.Contains(t, r.body, "send the form from the page")
}

// What was written into a form of the shelf that is refused stands there again, beside
// the reason.
func TestARefusedShelfFormStaysFilled(t *testing.T) {
	s := newSite(t, nil)
	for path, c := range map[string]struct {
		given url.Values
		kept  []string
	}{
		"/shelf/wax":   {url.Values{"name": {"Harrow Coco"}, "density": {"many"}, "cure": {"48"}, "per": {"total"}}, []string{`value="Harrow Coco"`, `value="many"`, `value="48"`, `value="total" selected`}},
		"/shelf/dye":   {url.Values{"name": {"Mere"}, "form": {"liquid"}, "unit-mass": {"0.03 l"}, "lot": {"7"}}, []string{`value="Mere"`, `<option selected>liquid`, `value="0.03 l"`, `value="7"`}},
		"/shelf/mould": {url.Values{"name": {"Tray"}, "cavities": {"six"}, "cavity": {"14"}}, []string{`value="Tray"`, `value="six"`, `value="14"`}},
	} {
		r := s.post(path, c.given)
		assert.Equal(t, 422, r.StatusCode, path)
		for _, kept := range c.kept {
			assert.Equal(t, 1, strings.Count(r.body, kept), "%s: %s", path, kept)
		}
		assert.Equal(t, 1, strings.Count(r.body, " open>"), "%s is open", path)
		assert.Contains(t, r.body, `id="add-`)
	}
}

// Much is remembered, and never without bound.
func TestWhatIsRememberedIsBounded(t *testing.T) {
	kept := recent[int]{most: 3}
	for i := range 10 {
		got, isNew := kept.add(fmt.Sprint(i), i)
		assert.True(t, isNew)
		assert.Equal(t, i, got)
	}
	got, isNew := kept.add("8", 80)
	assert.False(t, isNew)
	assert.Equal(t, 8, got)
	_, there := kept.get("6")
	assert.False(t, there)
	kept.remove("8")
	_, there = kept.get("8")
	assert.False(t, there)
	assert.Len(t, kept.ids, 2)
	assert.Len(t, kept.of, 2)
}

// Every form that changes something carries a key, on every page; those that send a
// file are told apart by what is in it.
func TestEveryFormCarriesItsKey(t *testing.T) {
	s := newLearnedSite(t)
	require.Equal(t, 303, s.post("/stock", url.Values{"dose": {"Bracken 2 g/kg"}, "mass": {"1 kg"}}).StatusCode)
	draft := s.upload("b.jpg", strings.NewReader(string(shipped(t, "bracken-set.jpg"))), map[string]string{"wax": "Harrow Soy", "state": "set"}).Header.Get("Location")
	lesson := s.post("/learn", url.Values{"wax": {"Harrow Soy"}}).Header.Get("Location")
	forms := 0
	for _, page := range []string{
		"/shelf", "/card", "/record", draft, "/learn", lesson, "/reread", "/match", "/stock", "/store",
		"/batch?colours=undyed&fill=pieces&pieces=3&piece-mass=40+g", "/rescue?wax-mass=900&dose=Bracken+6+chips/kg&become=lighter&lighter=40&tolerance=2",
	} {
		keys := map[string]bool{}
		for _, form := range regexp.MustCompile(`<form method="post"[^>]*>`).FindAllString(s.get(page).body, -1) {
			if strings.Contains(form, "multipart/") {
				continue
			}
			key := regexp.MustCompile(`\?once=([A-Z2-7]{26})["#]`).FindStringSubmatch(form)
			if assert.NotNil(t, key, "%s: %s", page, form) {
				assert.False(t, keys[key[1]], "%s: two forms with one key", page)
				keys[key[1]] = true
				forms++
			}
		}
	}
	assert.Greater(t, forms, 10)
}

// What was done is told at an address of its own: it can be loaded again, and the way
// back leads to it in place of the form.
func TestWhatWasDoneCanBeLoadedAgain(t *testing.T) {
	s, ctx := newSite(t, nil), context.Background()
	draft := s.upload("b.jpg", strings.NewReader(string(shipped(t, "bracken-set.jpg"))), map[string]string{"plan": string(shipped(t, "bracken-set.plan"))}).Header.Get("Location")
	to, given := s.action(draft, draft), url.Values{}
	for i, amount := range []string{"", "0.5", "1", "2.5", "5", "10", "1.5", "7"} {
		dye := "Bracken"
		if amount == "" {
			dye = "undyed"
		}
		for field, value := range map[string]string{"dye": dye, "amount": amount, "unit": "chips/kg"} {
			given.Set(fmt.Sprintf("%s-%d-0", field, i+1), value)
		}
	}
	r := s.send(to, given)
	require.Equal(t, 303, r.StatusCode, r.body)
	told := r.Header.Get("Location")
	for range 2 {
		page := s.get(told)
		assert.Equal(t, 200, page.StatusCode)
		assert.Contains(t, page.body, "8 swatches are kept")
		assert.Contains(t, page.body, `<a href="/record" aria-current="page">`)
	}
	assert.Equal(t, told, s.send(to, given).Header.Get("Location"))
	assert.Equal(t, told, s.post(draft, given).Header.Get("Location"), "with whatever key")
	assert.Equal(t, told, s.get(draft).Header.Get("Location"))
	kept, err := s.workshop.SetDrops(ctx, 100)
	require.NoError(t, err)
	assert.Len(t, kept, 8)
	r = s.get("/told/AAAA")
	assert.Equal(t, http.StatusNotFound, r.StatusCode)
	assert.Contains(t, r.body, "see the shelf")
}
