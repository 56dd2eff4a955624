package report_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/xml"
	"errors"
	"fmt"
	"image/png"
	"io"
	"math"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plan"
	"setshade/internal/report"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// hostile is a dye's name that would be a script where it is not escaped.
const hostile = `<script>alert(1)</script> & Dusk`

// reports are of an invented shelf: the hostile dye learned from invented drops,
// and Linnet, of which nothing is known.
type reports struct {
	dye   workshop.DyeReport
	none  workshop.DyeReport
	shelf workshop.ShelfReport
	batch workshop.BatchReport
}

var reportDay = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

func inventedReports(t *testing.T) reports {
	t.Helper()
	ctx := context.Background()
	s, err := store.Open(ctx, filepath.Join(t.TempDir(), "reports.db"))
	require.NoError(t, err)
	t.Cleanup(func() { s.Close() })
	w := &workshop.Workshop{Store: s, Now: func() time.Time { return reportDay }}
	require.NoError(t, s.Waxes.Add(ctx, wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9, MaxLoad: wax.Load{Percent: 6, Per: wax.PerWax}}))
	require.NoError(t, s.Dyes.Add(ctx, wax.Dye{Name: hostile, Form: wax.Chip, UnitMassG: 0.5, MaxDoseGPerKg: 2, Lot: "HL-F03"}))
	require.NoError(t, s.Dyes.Add(ctx, wax.Dye{Name: "Linnet", Form: wax.Mica}))
	var drops []wax.Swatch
	for i, lab := range []spectrum.Lab{{L: 95, A: 0, B: 6}, {L: 80, A: 20, B: 3}, {L: 60, A: 38, B: 2}, {L: 40, A: 45, B: 4}, {L: 69, A: 30, B: 2.5}} {
		d := wax.Swatch{Wax: "Harrow Soy", State: wax.SetState, Card: plan.UsualCard, Colour: spectrum.Measured{Lab: lab}, Drop: i + 1, AreaPx: 900, AreaShare: 0.01, Check: i == 4}
		for k := range 3 {
			d.Colour.Cov[k][k] = 0.04
		}
		if i > 0 {
			d.Recipe = wax.Recipe{{Dye: hostile, DoseGPerKg: 0.1 * math.Pow(4, float64(i))}}
		}
		if i == 4 {
			d.Recipe[0].DoseGPerKg = 0.8
		}
		drops = append(drops, d)
	}
	_, err = s.Record(ctx, store.Photo{Name: "card.jpg", Bytes: []byte("card"), PlanText: "state set", Reader: 1, RecordedAt: reportDay}, drops)
	require.NoError(t, err)
	_, err = w.Learn(ctx, "", nil)
	require.NoError(t, err)
	poured, err := s.LogBatch(ctx, store.Poured{
		Wax: "Harrow Soy", PouredAt: reportDay, Portion: "piece", Notes: []string{"<b>frosted</b>"},
		Colours: []store.PouredColour{{
			Batch:    wax.Batch{UndyedG: 500, Recipe: wax.Recipe{{Dye: hostile, DoseGPerKg: 3}}, Load: wax.Load{Percent: 8, Per: wax.PerWax}},
			Portions: 12, SwatchID: 4,
			Promise: &store.Promise{Piece: store.Foretold{Lab: spectrum.Lab{L: 52, A: 41, B: 2}, Within95: 1}, Drop: store.Foretold{Lab: spectrum.Lab{L: 55, A: 40, B: 2}, Within95: 1}},
		}},
	})
	require.NoError(t, err)
	var r reports
	r.dye, err = w.ReportDye(ctx, "", hostile)
	require.NoError(t, err)
	r.none, err = w.ReportDye(ctx, "Harrow Soy", "Linnet")
	require.NoError(t, err)
	r.shelf, err = w.ReportShelf(ctx, "")
	require.NoError(t, err)
	r.batch, err = w.ReportBatch(ctx, poured.ID)
	require.NoError(t, err)
	return r
}

// drawers are every report as both formats.
func (r reports) drawers() map[string][2]func(io.Writer) error {
	return map[string][2]func(io.Writer) error{
		"dye":          {func(w io.Writer) error { return report.DyeHTML(w, r.dye) }, func(w io.Writer) error { return report.DyePDF(w, r.dye) }},
		"unlearned":    {func(w io.Writer) error { return report.DyeHTML(w, r.none) }, func(w io.Writer) error { return report.DyePDF(w, r.none) }},
		"shelf":        {func(w io.Writer) error { return report.ShelfHTML(w, r.shelf) }, func(w io.Writer) error { return report.ShelfPDF(w, r.shelf) }},
		"batch":        {func(w io.Writer) error { return report.BatchHTML(w, r.batch) }, func(w io.Writer) error { return report.BatchPDF(w, r.batch) }},
		"two of a wax": {func(w io.Writer) error { return report.ShelfHTML(w, r.twice()) }, func(w io.Writer) error { return report.ShelfPDF(w, r.twice()) }},
	}
}

func (r reports) twice() workshop.ShelfReport {
	return workshop.ShelfReport{At: r.shelf.At, Waxes: append(r.shelf.Waxes, r.shelf.Waxes...)}
}

func drawn(t *testing.T, draw func(io.Writer) error) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, draw(&out))
	return out.String()
}

var (
	dataPicture = regexp.MustCompile(`src="data:image/png;base64,([^"]*)"`)
	// outside is whatever could make a browser ask for another file, or run
	// something.
	outside = regexp.MustCompile(`(?i)http|src=|href|url\(|<link|@import|<script|\son\w+=|style="`)
)

// Every page is well formed, as strictly as XML asks, asks for no other file, and
// has what WCAG 2.2 asks of any page: a language (3.1.1), a title (2.4.2), one
// first heading with none skipped after it (technique H42), and a text for every
// picture (1.1.1).
func TestReportPagesStandAlone(t *testing.T) {
	for name, draw := range inventedReports(t).drawers() {
		page := drawn(t, draw[0])
		for _, found := range dataPicture.FindAllStringSubmatch(page, -1) {
			// html/template writes + as a character reference.
			file, err := base64.StdEncoding.DecodeString(strings.ReplaceAll(found[1], "&#43;", "+"))
			require.NoError(t, err, name)
			_, err = png.Decode(bytes.NewReader(file))
			require.NoError(t, err, name)
		}
		assert.Empty(t, outside.FindString(dataPicture.ReplaceAllString(page, "")), name)
		assert.NotContains(t, page, "ZgotmplZ", "a value that the template did not trust")
		assert.Contains(t, page, `<html lang="en">`, name)
		checkElements(t, name, page)
	}
}

func checkElements(t *testing.T, name, page string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	count, level := map[string]int{}, 0
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err, name)
		e, is := token.(xml.StartElement)
		if !is {
			continue
		}
		tag := e.Name.Local
		count[tag]++
		if len(tag) == 2 && tag[0] == 'h' && tag[1] >= '1' && tag[1] <= '6' {
			assert.LessOrEqual(t, int(tag[1]-'0'), level+1, "%s: a heading is skipped", name)
			level = int(tag[1] - '0')
		}
		if tag == "img" {
			alt := ""
			for _, a := range e.Attr {
				if a.Name.Local == "alt" {
					alt = a.Value
				}
			}
			assert.NotEmpty(t, alt, name)
		}
	}
	assert.Equal(t, 1, count["h1"], name)
	assert.Equal(t, 1, count["title"], name)
	assert.Equal(t, 1, count["style"], name)
}

// What the style says of text keeps 4.5 : 1 against white, by the relative
// luminance of WCAG 2.2 (1.4.3).
func TestReportTextHasContrast(t *testing.T) {
	page := drawn(t, inventedReports(t).drawers()["batch"][0])
	inks := regexp.MustCompile(`[ {;]color: #([0-9a-f]{3})\b`).FindAllStringSubmatch(page, -1)
	require.NotEmpty(t, inks)
	for _, ink := range inks {
		luminance := 0.0
		for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
			v, err := strconv.ParseUint(ink[1][i:i+1], 16, 8)
			require.NoError(t, err)
			c := float64(v*17) / 255
			if c <= 0.04045 {
				c /= 12.92
			} else {
				c = math.Pow((c+0.055)/1.055, 2.4)
			}
			luminance += weight * c
		}
		assert.GreaterOrEqual(t, 1.05/(luminance+0.05), 4.5, ink[1])
	}
}

func TestReportsSayWhatIsKnown(t *testing.T) {
	r := inventedReports(t)
	draw := r.drawers()
	dye := drawn(t, draw["dye"][0])
	for _, must := range []string{
		"&lt;script&gt;alert(1)&lt;/script&gt; &amp; Dusk in Harrow Soy", "HL-F03", "0.8 chips/kg", "check, kept back",
		spectrum.Lab{L: 60, A: 38, B: 2}.Hex(), "under a warm lamp (A)", "under a white LED (LED-B3)", "0.4 to 6.4 g/kg, in 3 drops", "over 3 drops",
	} {
		assert.Contains(t, dye, must)
	}
	assert.Contains(t, drawn(t, draw["unlearned"][0]), "Nothing has been learned of Linnet in Harrow Soy yet.")
	shelf := drawn(t, draw["shelf"][0])
	assert.Contains(t, shelf, "1 drop was kept back and never learned from")
	assert.Contains(t, shelf, "Linnet (mica, which scatters light as well)")
	batch := drawn(t, draw["batch"][0])
	for _, must := range []string{
		"&lt;b&gt;frosted&lt;/b&gt;", "3 chips", "1.50 g", "6 chips/kg", "the fragrance, 8 % of wax, is above what Harrow Soy takes, 6 % of wax",
		"at 3 g/kg is above its highest dose on record, 2 g/kg", "No lot was kept of", "and 1.0 holds 95 times in 100",
	} {
		assert.Contains(t, strings.ToLower(batch), strings.ToLower(must))
	}
	miss := spectrum.DE00(spectrum.Lab{L: 55, A: 40, B: 2}, spectrum.Lab{L: 40, A: 45, B: 4})
	assert.Contains(t, batch, fmt.Sprintf("came out %.1f dE00 from what was promised: %s", miss, workshop.Seen(miss)))
}

func TestReportsAsPDF(t *testing.T) {
	r := inventedReports(t)
	for name, draw := range r.drawers() {
		file := drawn(t, draw[1])
		assert.True(t, strings.HasPrefix(file, "%PDF-"), name)
		assert.True(t, strings.HasSuffix(strings.TrimSpace(file), "%%EOF"), name)
		assert.NotEmpty(t, pageObject.FindAllString(file, -1), name)
		assert.Regexp(t, mediaBox, file, name)
		// The library orders pictures of one width by chance, so only the size of the
		// file is the same each time.
		assert.Len(t, drawn(t, draw[1]), len(file), "%s: the same report gives the same file but for the order of its pictures", name)
	}
	one, two := drawn(t, r.drawers()["shelf"][1]), drawn(t, r.drawers()["two of a wax"][1])
	assert.Greater(t, len(pageObject.FindAllString(two, -1)), len(pageObject.FindAllString(one, -1)), "what does not fit is not lost")
}

// A page that serves reports can allow their style by its digest (CSP Level 3,
// 2.3.1) and nothing else.
func TestReportStyleSource(t *testing.T) {
	page := drawn(t, inventedReports(t).drawers()["batch"][0])
	_, rest, _ := strings.Cut(page, "<style>")
	style, _, _ := strings.Cut(rest, "</style>")
	digest := sha256.Sum256([]byte(style))
	assert.Equal(t, "'sha256-"+base64.StdEncoding.EncodeToString(digest[:])+"'", report.StyleSource())
}
