package page

import (
	"bytes"
	"context"
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// olderReader makes the store what a reader that saw all colours darker would have left.
func (s *site) olderReader() {
	s.t.Helper()
	ctx := context.Background()
	photographs, err := s.workshop.Photographs(ctx)
	require.NoError(s.t, err)
	for _, p := range photographs {
		for i := range p.Swatches {
			p.Swatches[i].Colour.Lab.L -= 10
		}
		_, err := s.workshop.Store.Replace(ctx, p.RecordedAt, store.Reading{SHA256: p.SHA256, Photo: store.Photo{Name: p.Name, Reader: 1, Print: p.Print}, Swatches: p.Swatches})
		require.NoError(s.t, err)
	}
}

func (s *site) swatches() []wax.Swatch {
	s.t.Helper()
	all, err := s.workshop.Store.Swatches(context.Background(), store.Filter{})
	require.NoError(s.t, err)
	return all
}

// What would change is shown and changes nothing; then it is kept, all of it, as the
// workshop keeps it.
func TestPhotographsAreReadAgain(t *testing.T) {
	s, ctx := newPrintedSite(t), context.Background()
	want := s.swatches()
	assert.Contains(t, s.get("/reread").body, "all read by this setshade's reader")
	s.olderReader()
	old := s.swatches()
	assert.Contains(t, s.get("/reread").body, "<b>2 read by an older reader</b>")
	dry, err := s.workshop.Reread(ctx, true, nil)
	require.NoError(t, err)

	looked := s.post("/reread", nil).Header.Get("Location")
	assert.Regexp(t, `event: step\ndata: \d+ \d+\n\n`, s.get(looked+"/progress").body)
	r := s.get(looked)
	require.Equal(t, 200, r.StatusCode)
	assert.Contains(t, r.body, "What would change")
	for _, p := range dry.Photos {
		assert.Contains(t, r.body, p.Name+"</b> 6 drops: typical "+report.DE00(p.MedianDE00())+", worst "+report.DE00(p.WorstDE00())+".")
	}
	assert.Equal(t, old, s.swatches(), "looking changes nothing")

	kept := s.post(looked+"/keep", nil).Header.Get("Location")
	require.NotEqual(t, looked, kept)
	s.get(kept + "/progress") // until it has ended
	r = s.get(kept)
	assert.Contains(t, r.body, "The new numbers are in the store.")
	assert.NotContains(t, r.body, kept+"/keep")
	assert.Equal(t, want, s.swatches())
	assert.Equal(t, 422, s.post(kept+"/keep", nil).StatusCode, "only what was looked at is kept")
	assert.Equal(t, 404, s.post("/reread/AAAA/keep", nil).StatusCode)
}

// Stopped, everything stays as it was.
func TestReadingAgainIsStopped(t *testing.T) {
	s := newPrintedSite(t)
	s.olderReader()
	old := s.swatches()
	looked := s.post("/reread", nil).Header.Get("Location")
	require.Equal(t, 303, s.post(looked+"/stop", url.Values{}).StatusCode)
	s.get(looked + "/progress")
	r := s.get(looked)
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "nothing was kept of it")
	assert.Equal(t, 422, s.post(looked+"/keep", nil).StatusCode, "what was not shown is not kept")
	assert.Equal(t, old, s.swatches())
}

// What was put in place of the old numbers can be brought back from the page.
func TestOldNumbersAreBroughtBack(t *testing.T) {
	s := newPrintedSite(t)
	assert.NotContains(t, s.get("/reread").body, "Bring back the old numbers")
	before := s.swatches()
	s.olderReader()
	assert.Contains(t, s.get("/reread").body, "Bring back the old numbers")
	r := s.post("/reread/bring-back", nil)
	require.Equal(t, 200, r.StatusCode, r.body)
	assert.Contains(t, r.body, "are as they were before")
	assert.Contains(t, []float64{before[0].Colour.Lab.L, before[0].Colour.Lab.L - 10}, s.swatches()[0].Colour.Lab.L)
}

// Another photograph of a recorded card takes its doses, and adds no swatch.
func TestAnotherPhotographOfTheSameCard(t *testing.T) {
	printedCards.Do(func() { renderPrinted(t) })
	s := newSite(t, nil)
	_, err := s.workshop.Record(context.Background(), workshop.Card{PhotoName: "first.jpg", PlanName: "p", Photo: printedCards.jpegs[0], PlanText: printedPlan})
	require.NoError(t, err)
	before := s.swatches()
	with := before[0].Photo.SHA256
	asked := s.get("/record?with=" + with)
	assert.Contains(t, asked.body, `name="with" value="`+with+`"`)
	assert.Contains(t, asked.body, "with 6 drops")
	assert.Contains(t, asked.body, "How to photograph a card")
	r := s.upload("second.jpg", bytes.NewReader(printedCards.jpegs[1]), map[string]string{"with": with, "state": "set", "under": "overcast"})
	require.Equal(t, 303, r.StatusCode, r.body)
	draft := r.Header.Get("Location")
	require.Equal(t, 200, s.get(draft).StatusCode)
	fields := url.Values{}
	for number, dose := range map[string]string{"1": "", "7": "", "13": "", "14": "0.1", "15": "0.4", "16": "1.5"} {
		fields.Set("dye-"+number+"-0", "undyed")
		if dose != "" {
			fields.Set("dye-"+number+"-0", "Bracken")
			fields.Set("amount-"+number+"-0", dose)
			fields.Set("unit-"+number+"-0", "g/kg")
		}
	}
	r = s.follow(s.post(draft, fields))
	assert.Contains(t, r.body, "Read together with first.jpg")
	after := s.swatches()
	require.Len(t, after, len(before))
	assert.Equal(t, before[3].ID, after[3].ID)
	assert.NotEqual(t, before[3].Colour, after[3].Colour)
	assert.Equal(t, 404, s.get("/record?with=nothing").StatusCode)
}
