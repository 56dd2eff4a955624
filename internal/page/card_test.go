package page

import (
	"bytes"
	"context"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/chart"
	"setshade/internal/photo"
	"setshade/internal/workshop"
)

// A card comes as the PDF that the workshop writes, on the paper that was asked for. The
// sizes of paper in points are those of ISO 216 and of ANSI/ASME Y14.1 (8.5 by 11 in).
func TestACardIsPrinted(t *testing.T) {
	s := newSite(t, nil)
	form := s.get("/card").body
	assert.Contains(t, form, `<option value="A4">A4, with 2 cards to cut out</option>`)
	assert.Contains(t, form, "true scale")
	assert.Regexp(t, `it must measure 100.mm`, form)
	for paper, c := range map[string]struct {
		size           card.Size
		wideMM, highMM float64
	}{
		"A4": {card.A5, 210, 297}, "letter": {card.HalfLetter, 215.9, 279.4}, "A5": {card.A5, 210, 148}, "half-letter": {card.HalfLetter, 215.9, 139.7},
	} {
		r := s.get("/card/test-card.pdf?print=3&paper=" + paper)
		require.Equal(t, 200, r.StatusCode, paper)
		assert.Equal(t, "application/pdf", r.Header.Get("Content-Type"))
		assert.Equal(t, "attachment; filename=test-card-"+paper+"-print-3.pdf", r.Header.Get("Content-Disposition"))
		box := regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`).FindStringSubmatch(r.body)
		require.NotNil(t, box, paper)
		assert.Equal(t, fmt.Sprintf("%.2f %.2f", c.wideMM*72/25.4, c.highMM*72/25.4), box[1]+" "+box[2], paper)
	}
	for query, says := range map[string]string{
		"paper=A4&print=32": "prints are numbered 1 to 31", "paper=A4&print=0": "prints are numbered", "paper=A4&print=two": "not a whole number",
		"paper=A3&print=1": "not a paper", "paper=%3Cb%3E&print=1": "not a paper",
	} {
		r := s.get("/card/test-card.pdf?" + query)
		assert.Equal(t, 422, r.StatusCode, query)
		assert.Empty(t, r.Header.Get("Content-Disposition"), query)
		assert.Contains(t, r.body, says, query)
		assert.Contains(t, r.body, `id="print-refused"`, "it stands beside the field")
		assert.Equal(t, 1, strings.Count(r.body, `role="alert"`), "and once")
	}
}

// The anchor of a print is seen, another is chosen as the command chooses it, and
// forgotten.
func TestAnAnchorIsSeenAndChosen(t *testing.T) {
	s, ctx := newPrintedSite(t), context.Background()
	anchor := func() string {
		anchors, err := s.workshop.Anchors(ctx)
		require.NoError(t, err)
		if len(anchors) == 0 {
			return ""
		}
		return anchors[0].Name
	}
	require.Equal(t, "printed-1.jpg", anchor())
	page := s.get("/card").body
	assert.Contains(t, page, "Card A5 print 1")
	assert.Contains(t, page, "Its anchor is <b>printed-1.jpg</b>")
	seen := regexp.MustCompile(`href="(/photograph/[0-9a-f]{64})">See printed-1.jpg`).FindStringSubmatch(page)
	require.NotNil(t, seen)
	shown := s.get(seen[1])
	assert.Equal(t, "image/jpeg", shown.Header.Get("Content-Type"))
	assert.Equal(t, "inline; filename=printed-1.jpg", shown.Header.Get("Content-Disposition"))
	assert.Equal(t, string(printedCards.jpegs[0]), shown.body)
	chosen := regexp.MustCompile(`name="from" value="(\d+)"[^>]*>[^<]*<span><b>printed-2.jpg`).FindStringSubmatch(page)
	require.NotNil(t, chosen)

	r := s.follow(s.post("/card/anchor", url.Values{"from": chosen[1:]}))
	require.Equal(t, 200, r.StatusCode, r.body)
	assert.Contains(t, r.body, "The anchor of A5 print 1 is now printed-2.jpg.")
	assert.Equal(t, "printed-2.jpg", anchor())
	assert.Contains(t, s.get("/card").body, "<b>printed-2.jpg</b>, the anchor now")

	for from, says := range map[string]string{"": "choose the photograph", "99": "no photograph was recorded", "../x": "no photograph was recorded"} {
		r = s.post("/card/anchor", url.Values{"from": {from}})
		assert.Equal(t, 422, r.StatusCode, from)
		assert.Contains(t, r.body, says)
		assert.Contains(t, r.body, `id="anchor-refused"`)
	}
	assert.Equal(t, "printed-2.jpg", anchor())

	a5 := url.Values{"size": {"A5"}, "print": {"1"}}
	require.Equal(t, 303, s.post("/card/anchor/forget", a5).StatusCode)
	assert.Empty(t, anchor())
	assert.Contains(t, s.get("/card").body, "It has no anchor.")
	assert.Equal(t, 404, s.post("/card/anchor/forget", a5).StatusCode, "there is none any more")
	assert.Equal(t, 422, s.post("/card/anchor/forget", url.Values{"size": {"A5"}, "print": {"x"}}).StatusCode)
}

// A measured strip is kept as a file or as its lines, for the light it says or is said;
// one that cannot be read leaves what was written, to be mended.
func TestAMeasuredStripIsKept(t *testing.T) {
	s, ctx := newPrintedSite(t), context.Background()
	of := map[string]string{"size": "A5", "print": "1"}
	r := s.follow(s.sendFile("/card/reference", "colours-file", `C:\strip.csv`, strings.NewReader(printedCards.strip), of))
	require.Equal(t, 200, r.StatusCode, r.body)
	assert.Contains(t, r.body, "Kept the colours of 14 patches of A5 print 1.")
	kept, err := s.workshop.References(ctx)
	require.NoError(t, err)
	require.Len(t, kept, 1)
	assert.Equal(t, "strip.csv", kept[0].Name)
	want, err := workshop.ColourFile{Text: printedCards.strip}.Strip(14)
	require.NoError(t, err)
	assert.Equal(t, want, kept[0].Patches)
	assert.Contains(t, s.get("/card").body, "<b>strip.csv</b>")

	require.Equal(t, 303, s.post("/card/reference/forget", url.Values{"size": {"A5"}, "print": {"1"}}).StatusCode)
	lines := strings.TrimPrefix(printedCards.strip, "# D65\n")
	for name, c := range map[string]struct {
		text, light, says string
	}{
		"no light": {lines, "", "say which light the colours of strip.csv are for"}, "another light": {printedCards.strip, "D50", "leave the light out"},
		"no such light": {lines, "noon", "not a light"}, "few": {"# D50\npatch,L,a,b\n1,50,0,0\n", "", "has the colours of 1 patch"},
		"twice": {lines + "3,50,0,0\n", "D65", "patch 3 is given twice"}, "none": {"", "", "choose the file of colours"},
		"a workbook": {"PK\x03\x04\x00\x00", "", "not a table in plain text"}, "long": {strings.Repeat("x", workshop.MaxStripBytes+1), "", "more than the 64 KB"},
		"markup": {"<script>x</script>", "D50", "there is no column"},
	} {
		r = s.sendFile("/card/reference", "colours-file", "strip.csv", strings.NewReader(c.text), map[string]string{"size": "A5", "print": "1", "light": c.light, "colours": "", "colours-name": ""})
		assert.Equal(t, 422, r.StatusCode, name)
		assert.Contains(t, r.body, c.says, name)
		assert.Contains(t, r.body, `id="colours-refused"`, name)
		assert.NotContains(t, r.body, "<script>x", name)
	}
	r = s.sendFile("/card/reference", "colours-file", "strip.csv", strings.NewReader(lines), of)
	assert.Contains(t, r.body, "\n1,", "what was sent stands in the field")
	kept, err = s.workshop.References(ctx)
	require.NoError(t, err)
	require.Empty(t, kept)

	of["colours"], of["colours-name"], of["light"] = lines, "strip.csv", "D65"
	r = s.follow(s.sendFile("/card/reference", "colours-file", "", strings.NewReader(""), of))
	require.Equal(t, 200, r.StatusCode, r.body)
	kept, err = s.workshop.References(ctx)
	require.NoError(t, err)
	require.Len(t, kept, 1)
	assert.Equal(t, want, kept[0].Patches)

	large := s.sendFile("/card/reference", "other", "x", strings.NewReader(strings.Repeat("x", 2*maxFormBytes)), of)
	assert.Equal(t, 413, large.StatusCode)
	assert.Contains(t, large.body, "longer than the page takes in one form")
}

// A chart that was measured is read as the workshop reads it: given as measured, the
// published colours do what they do as published.
func TestAMeasuredChartIsTaken(t *testing.T) {
	s := newLearnedSite(t)
	var table strings.Builder
	table.WriteString("patch;L;a;b\n")
	for i, lab := range chart.After2014.Colours() {
		fmt.Fprintf(&table, "%d;%.6f;%.6f;%.6f\n", i+1, lab.L, lab.A, lab.B)
	}
	fields := map[string]string{"wax": "Harrow Soy", "state": "set", "colours": table.String(), "colours-name": "chart.csv", "light": "D65", "chart": ""}
	bracken := shipped(t, "bracken-set.jpg")
	r := s.upload("b.jpg", bytes.NewReader(bracken), fields)
	require.Equal(t, 303, r.StatusCode, r.body)
	assert.Regexp(t, "no chart of 24 patches was found|not the chart", s.get(r.Header.Get("Location")).body)
	for name, with := range map[string]map[string]string{
		"the chart&#39;s colours are said twice": {"chart": string(chart.After2014)}, "say which light": {"light": ""},
		"a chart needs all 24": {"colours": "patch,L,a,b\n1,50,0,0\n"},
	} {
		wrong := map[string]string{}
		for k, v := range fields {
			wrong[k] = v
		}
		for k, v := range with {
			wrong[k] = v
		}
		r = s.upload("b.jpg", bytes.NewReader(bracken), wrong)
		assert.Equal(t, 422, r.StatusCode, name)
		assert.Contains(t, r.body, name)
		assert.Contains(t, r.body, `id="colours-refused"`)
	}

	photograph, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "refdata", "photos", "chart_on_white.jpg"))
	if err != nil {
		t.Skip("the photographs of charts are not here")
	}
	m, err := s.workshop.Match(context.Background(), workshop.Wish{
		UndyedG: 1000, MaxDyes: 2, ToleranceDE00: 2, Answers: 4,
		Spot: &workshop.PhotoSpot{
			Name: "c.jpg", Photo: photograph, Place: photo.Place{X: 23, Y: 81.3, Percent: true}, Chart: workshop.PublishedChart(chart.After2014),
		},
	})
	require.NoError(t, err)
	for k, v := range map[string]string{"wax-mass": "1 kg", "dyes": "2", "tolerance": "2", "across": "23", "down": "81.3"} {
		fields[k] = v
	}
	r = s.uploadTo("/match", "c.jpg", bytes.NewReader(photograph), fields)
	require.Equal(t, 200, r.StatusCode, r.body)
	assert.Contains(t, r.body, m.Wanted.Hex())
	assert.Contains(t, r.body, "those of chart.csv")
}
