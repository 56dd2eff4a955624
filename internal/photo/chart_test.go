package photo

import (
	"encoding/csv"
	"image"
	"image/color"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/picture"
	"setshade/internal/picture/picturetest"
	"setshade/internal/plane"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

const refdata = "../../../shared/refdata"

// chartColours reads the chart maker's published values since November 2014, and
// adapts them from D50 to D65 (linear Bradford transform).
func chartColours(t *testing.T) []spectrum.Lab {
	file, err := os.Open(filepath.Join(refdata, "chart", "cc24_reference_values_D50.csv"))
	if err != nil {
		t.Skip("the published chart values are not here")
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	const first = 11
	var out []spectrum.Lab
	for _, row := range rows[1:] {
		var v [3]float64
		for k := range v {
			v[k], err = strconv.ParseFloat(row[first+k], 64)
			require.NoError(t, err)
		}
		d50, d65 := spectrum.D50.White(), spectrum.D65.White()
		out = append(out, spectrum.LabOf(v).XYZ(d50).Adapt(d50, d65).Lab(d65))
	}
	return out
}

// Real photographs of the chart, from the test pictures of an open plant
// phenotyping library (see SOURCES.md beside them): found without help, and each
// patch read by a correction that knew it neither in its fit nor in the choice of
// its form. Owed is a median dE00 of 2.
//
// The third picture is not within it, and says so. It is a screen picture of a
// telephone's, whose reds are cut off (orange, yellow and moderate red all lie
// within 4 codes of sRGB's top), and no smooth correction found explains it: with
// root polynomials of the third degree, light of the second degree across the
// chart, and chroma mixed in code values as well (53 values for the 72 numbers of
// the chart), the median was still 1.4 within the fit and 2.4 held out, and 2.4
// was the best of more than fifty forms tried. It must not get worse.
func TestRealPhotographsOfCharts(t *testing.T) {
	known := chartColours(t)
	for _, c := range []struct {
		name            string
		first, last     plane.Point // middles of the brown and of the black patch, by eye
		within, reached float64
	}{
		{"chart_in_booth.png", plane.Point{X: 234, Y: 170}, plane.Point{X: 169, Y: 275}, 2, 2},
		{"chart_on_white.jpg", plane.Point{X: 69, Y: 378}, plane.Point{X: 241, Y: 91}, 2, 2},
		{"chart_dark_300x396.png", plane.Point{X: 225, Y: 58}, plane.Point{X: 67, Y: 331}, 2, 3.1},
	} {
		data, err := os.ReadFile(filepath.Join(refdata, "photos", c.name))
		if err != nil {
			t.Skip("the photographs of charts are not here")
		}
		chart, err := ReadChart(data, known)
		require.NoError(t, err, c.name)
		for i, want := range map[int]plane.Point{0: c.first, chartPatches - 1: c.last} {
			assert.InDelta(t, want.X, chart.CentresPx[i][0], 4, c.name)
			assert.InDelta(t, want.Y, chart.CentresPx[i][1], 4, c.name)
		}
		var heldOut []float64
		for i, sound := range chart.Sound {
			if sound {
				heldOut = append(heldOut, spectrum.DE00(chart.HeldOut[i], known[i]))
			}
		}
		middle := rank.Quantile(heldOut, 0.5)
		verdict := "owed and reached"
		if middle > c.within {
			verdict = "owed is 2.0, not reached"
		}
		t.Logf("%-24s %d patches held out: median dE00 %.2f, 95 %% %.2f (%s); fitted %.2f; %s", c.name, len(heldOut),
			middle, rank.Quantile(heldOut, 0.95), verdict, chart.Correction.MedianDE00, chart.Correction.Model)
		assert.LessOrEqual(t, middle, c.reached, c.name)
		assert.Equal(t, chart.Correction.HeldOutDE00 > c.within, strings.Contains(strings.Join(chart.Notes, "\n"), "HDR"), c.name)
	}
}

// withChart draws the chart on the table, left of the card, as the camera sees it.
func withChart(img *image.NRGBA, known []spectrum.Lab, corner image.Point, pitch int, light float64) {
	frame := image.Rect(corner.X-pitch/3, corner.Y-pitch/3, corner.X+pitch*chartRows+pitch/8, corner.Y+pitch*chartColumns+pitch/8)
	fill := func(r image.Rectangle, c color.NRGBA) {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				img.SetNRGBA(x, y, c)
			}
		}
	}
	fill(frame, color.NRGBA{30, 30, 30, 255})
	for i, lab := range known { // standing on its side: columns run down, rows to the left
		var code [3]uint8
		for c, v := range linearOf(lab) {
			code[c] = uint8(255*encodedLight(min(max(light*v, 0), 1)) + 0.5)
		}
		at := corner.Add(image.Pt(pitch*(chartRows-1-i/chartColumns), pitch*(i%chartColumns)))
		fill(image.Rectangle{at, at.Add(image.Pt(pitch*3/4, pitch*3/4))}, color.NRGBA{code[0], code[1], code[2], 255})
	}
}

// A camera that bends the tones is set right by a chart beside a plain card.
func TestChartBesideTheCard(t *testing.T) {
	known := chartColours(t)
	c := plainCard()
	c.fill, c.turn, c.jpeg, c.lamp, c.light = 0.6, 0.02, 0, [3]float64{1, 1, 1}, 1.1
	img := c.render()
	withChart(img, known, image.Pt(40, 240), 50, 0.7)
	for i := range img.Pix { // an S: darker darks, lighter lights
		if i%4 < 3 {
			u := float64(img.Pix[i]) / 255
			img.Pix[i] = uint8(255*(u-0.25*u*(1-u)*(1-2*u)) + 0.5)
		}
	}
	file := picturetest.Encoded(t, img, 0)
	errors := func(want Expect) []float64 {
		r, err := Read(file, want)
		require.NoError(t, err)
		require.Len(t, r.Drops, 12)
		var out []float64
		for i, d := range r.Drops {
			out = append(out, spectrum.DE00(d.Colour.Lab, c.drops[i].lab))
		}
		return out
	}
	plain, by := errors(plan), plan
	by.Chart = known
	corrected := errors(by)
	t.Logf("without the chart median %.2f, worst %.2f; with it %.2f, %.2f",
		rank.Quantile(plain, 0.5), rank.Quantile(plain, 1), rank.Quantile(corrected, 0.5), rank.Quantile(corrected, 1))
	assert.Greater(t, rank.Quantile(plain, 0.5), 1.0)
	assert.LessOrEqual(t, rank.Quantile(corrected, 0.5), 0.7)
	assert.LessOrEqual(t, rank.Quantile(corrected, 0.95), 1.5)

	_, err := Read(smallCard().file(t), by)
	assert.ErrorContains(t, err, "no chart")
	strip := plan
	strip.Reference = known[:9]
	r, err := Read(file, strip)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(r.Notes, "\n"), "not used", "a plain card has no strip to compare")
	assert.Equal(t, ByWhite, r.Correction.Kind)
	by.Chart = known[:23]
	_, err = Read(file, by)
	assert.ErrorContains(t, err, "24 patches")
}

func TestReadChartRefuses(t *testing.T) {
	known := chartColours(t)
	_, err := ReadChart(smallCard().file(t), known)
	var refusal *picture.Refusal
	require.ErrorAs(t, err, &refusal)
	assert.Contains(t, refusal.Error(), "chart")
	_, err = ReadChart([]byte("text"), known)
	require.ErrorAs(t, err, &refusal)
	assert.Panics(t, func() { _, _ = ReadChart(nil, known[:3]) })
}
