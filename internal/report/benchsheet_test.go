package report_test

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/batch"
	"setshade/internal/report"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// planned is the plan of an invented batch in so many colours.
func planned(t testing.TB, names ...string) workshop.BatchPlan {
	t.Helper()
	fill, err := batch.Pieces(6*len(names), 40)
	require.NoError(t, err)
	bracken := wax.Dye{Name: "Bracken", Form: wax.Chip, UnitMassG: 0.5, Lot: "HL-B14", PricePerG: 0.2}
	r := batch.Request{
		Wax:  wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9, Bench: wax.Bench{HeatToC: 85, SetHours: 2}},
		Fill: fill, Shelf: []wax.Dye{bracken}, Load: wax.Load{Percent: 8, Per: wax.PerWax}, LossPercent: 3, Wicked: true,
	}
	p := workshop.BatchPlan{Portion: "piece", Dyes: r.Shelf, PlannedAt: time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)}
	for _, name := range names {
		r.Colours = append(r.Colours, batch.Colour{Name: name, Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2.2}}})
		p.Shades = append(p.Shades, workshop.PotShade{Known: true, RoundingDE00: 0.72, Reached: shade.Shade{
			Lab: spectrum.Lab{L: 63.1, A: 19.2, B: 5.5}, Within95: 1.1,
		}})
	}
	p.Sheet, err = batch.Plan(r)
	require.NoError(t, err)
	return p
}

func TestBatchPlanKeepsToEightyColumns(t *testing.T) {
	said := report.BatchPlan(report.NoColours, planned(t, "Dawn", "Dusk"))
	for line := range strings.Lines(said) {
		assert.LessOrEqual(t, len([]rune(strings.TrimSuffix(line, "\n"))), 80, line)
	}
	for _, must := range []string{
		"1 chip  Bracken", "rounding the dye costs 0.7 dE00", "Temperature not recorded: ask the supplier.",
		"From 2 h after pouring.\n   Time not recorded: ask the supplier.",
		"This\nplan goes per wax.", "without Harrow Soy and fragrance, of\nwhich no price is recorded",
	} {
		assert.Contains(t, said, must)
	}
	assert.NotContains(t, said, "\u00a0")
}

// A name is text, whatever is in it, and the page asks for no other file.
func TestHTMLSheetStandsAlone(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, report.NewBenchSheet(planned(t, "<script>alert(1)</script>", "Dusk & Dawn")).WriteHTML(&page))
	html := page.String()
	assert.NotContains(t, html, "<script")
	assert.Contains(t, html, "&lt;script&gt;")
	assert.Contains(t, html, "Dusk &amp; Dawn: 6 pieces")
	assert.Contains(t, html, "background-color: "+spectrum.Lab{L: 63.1, A: 19.2, B: 5.5}.Hex())
	assert.Contains(t, html, "HL-B14 on record")
	assert.NotContains(t, html, "ZgotmplZ", "a value that the template did not trust")
	for _, outside := range []string{"http", "src=", "url(", "<link", "@import"} {
		assert.NotContains(t, html, outside)
	}
}

// A page object has /Type /Page; MediaBox is its size in points of 1/72 in (ISO
// 32000-1, 7.7.3.3). 210 mm are 595.28 points, 279.4 mm are 11 in or 792.
var (
	pageObject = regexp.MustCompile(`/Type /Page\b`)
	mediaBox   = regexp.MustCompile(`/MediaBox \[0 0 595\.28 792\.00\]`)
)

func pdfOf(t *testing.T, p workshop.BatchPlan) []byte {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, report.NewBenchSheet(p).WritePDF(&file))
	return file.Bytes()
}

func TestPDFSheetIsOnePage(t *testing.T) {
	var names []string
	for n := 1; n <= 6; n++ {
		names = append(names, fmt.Sprintf("Colour %d", n))
		file := pdfOf(t, planned(t, names...))
		assert.Len(t, pageObject.FindAll(file, -1), 1, "%d colours", n)
		assert.Regexp(t, mediaBox, string(file))
		assert.Equal(t, file, pdfOf(t, planned(t, names...)), "the same plan gives the same bytes")
	}
	for len(names) < 40 {
		names = append(names, fmt.Sprintf("Colour %d", len(names)+1))
	}
	assert.Greater(t, len(pageObject.FindAll(pdfOf(t, planned(t, names...)), -1)), 1, "what does not fit is not lost")
}

// Names in any script and of any length are written, not refused.
func TestPDFSheetTakesAnyName(t *testing.T) {
	for _, name := range []string{"Écru", "Закат", "夕焼け", "🌅", strings.Repeat("Long", 20), "a\u00a0b"} {
		assert.NotEmpty(t, pdfOf(t, planned(t, name, "Dusk")), name)
	}
}
