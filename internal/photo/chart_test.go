package photo

import (
	"image"
	"image/color"
	"image/draw"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/chart"
	"setshade/internal/picture"
	"setshade/internal/picture/picturetest"
	"setshade/internal/plane"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

const refdata = "../../../shared/refdata"

// Real photographs of the chart, from the test pictures of an open plant
// phenotyping library (see SOURCES.md beside them): found without help, and each
// patch read by a correction that knew it neither in its fit nor in the choice of
// its form. Owed is a median dE00 of 2, which all patches together keep, and each of
// the two photographs.
//
// The third picture by itself is not within it, and says so. It is no photograph but a copy of
// a screen on which a telephone's was shown, as its profile tells. What is against it
// can be seen in its code values, turned back into sRGB:
//   - orange and yellow are cut off: red piles up at 254 and ends there, though the
//     screen holds more;
//   - the chart's black frame rises from code 40 at its lower edge to 90 at the upper
//     one: a lamp is mirrored in it;
//   - with the lightness of every patch left free, hue and chroma still miss by 1.5
//     in the fit: the telephone changed colours by place and by hue.
//
// What was tried, and the median held out that the best of each kind left with the
// colours published for charts of that make, chosen after the fact and so flattered:
// root polynomials of the third degree, light of the second degree and chroma mixed
// in code values 2.4; tones bent in sRGB 2.5 (3.1 with the form chosen anew for each
// patch); the cut off patches, and cyan, which sRGB cannot hold, left out 2.5; glare
// that falls off across the chart, or like the frame's light 2.4; robust weights 2.3; a
// Gaussian process over colour and place 2.2. With the colours of older charts (the
// maker's, mean reflectances under D65) most were 2.2 to 2.4. Of some 2,500 such fits, nine
// in ten of them settings of the Gaussian process, the best came to 1.9, with the older
// colours and settings picked by that very figure, which is luck. Not tried: measured
// sensitivities of cameras as what to expect of the mixing. It must not get worse.
func TestAccuracyOnPhotographsOfCharts(t *testing.T) {
	known := chart.After2014.Colours()
	const owed = 2.0
	var all []float64
	for _, c := range []struct {
		name            string
		first, last     plane.Point // middles of the brown and of the black patch, by eye
		within, reached float64
	}{
		{"chart_in_booth.png", plane.Point{X: 234, Y: 170}, plane.Point{X: 169, Y: 275}, owed, owed},
		{"chart_on_white.jpg", plane.Point{X: 69, Y: 378}, plane.Point{X: 241, Y: 91}, owed, owed},
		{"chart_dark_300x396.png", plane.Point{X: 225, Y: 58}, plane.Point{X: 67, Y: 331}, owed, 3.1},
	} {
		data, err := os.ReadFile(filepath.Join(refdata, "photos", c.name))
		if err != nil {
			t.Skip("the photographs of charts are not here")
		}
		read, err := ReadChart(data, known)
		require.NoError(t, err, c.name)
		for i, want := range map[int]plane.Point{0: c.first, chartPatches - 1: c.last} {
			assert.InDelta(t, want.X, read.CentresPx[i][0], 4, c.name)
			assert.InDelta(t, want.Y, read.CentresPx[i][1], 4, c.name)
		}
		var heldOut []float64
		for i, sound := range read.Sound {
			if sound {
				heldOut = append(heldOut, spectrum.DE00(read.HeldOut[i], known[i]))
			}
		}
		all = append(all, heldOut...)
		middle := rank.Quantile(heldOut, 0.5)
		verdict := "owed and reached"
		if middle > c.within {
			verdict = "owed is 2.0, not reached"
		}
		t.Logf("%-24s %d patches held out: median dE00 %.2f, 95 %% %.2f (%s); fitted %.2f; %s", c.name, len(heldOut),
			middle, rank.Quantile(heldOut, 0.95), verdict, read.Correction.MedianDE00, read.Correction.Model)
		assert.LessOrEqual(t, middle, c.reached, c.name)
		said := strings.Join(read.Notes, "\n")
		assert.Equal(t, read.Correction.HeldOutDE00 > c.within, strings.Contains(said, "HDR"), c.name)
		assert.Equal(t, c.reached > c.within, strings.Contains(said, "a copy of a screen"), c.name)
	}
	middle := rank.Quantile(all, 0.5)
	t.Logf("%-24s %d patches held out: median dE00 %.2f", "all together", len(all), middle)
	assert.LessOrEqual(t, middle, owed)
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
			code[c] = uint8(255*picture.SRGBCode(min(max(light*v, 0), 1)) + 0.5)
		}
		at := corner.Add(image.Pt(pitch*(chartRows-1-i/chartColumns), pitch*(i%chartColumns)))
		fill(image.Rectangle{at, at.Add(image.Pt(pitch*3/4, pitch*3/4))}, color.NRGBA{code[0], code[1], code[2], 255})
	}
}

// A camera that bends the tones is set right by a chart beside a plain card.
func TestChartBesideTheCard(t *testing.T) {
	known := chart.After2014.Colours()
	c := plainCard()
	c.fill, c.turn, c.jpeg, c.lamp, c.light = 0.6, 0.02, 0, [3]float64{1, 1, 1}, 1.1
	img := c.render()
	withChart(img, known, image.Pt(40, 240), 50, 0.7)
	// What lies beside the chart may go on with its grid, and is not of it.
	draw.Draw(img, image.Rect(240, 490, 277, 527), image.NewUniform(color.Gray{140}), image.Point{}, draw.Src)
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
	known := chart.After2014.Colours()
	_, err := ReadChart(smallCard().file(t), known)
	var refusal *picture.Refusal
	require.ErrorAs(t, err, &refusal)
	assert.Contains(t, refusal.Error(), "chart")
	_, err = ReadChart([]byte("text"), known)
	require.ErrorAs(t, err, &refusal)
	assert.Panics(t, func() { _, _ = ReadChart(nil, known[:3]) })
}
