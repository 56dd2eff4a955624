package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/chart"
	"setshade/internal/picture"
	"setshade/internal/rank"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func pngOf(t *testing.T, img image.Image) []byte {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, png.Encode(&out, img))
	return out.Bytes()
}

// The scene knows the colour of every patch and drop, the light on the card is
// uneven and coloured, and nothing is corrected but for white.
func TestSpotOnAPrintedCardIsRelativeToItsWhite(t *testing.T) {
	t.Parallel()
	g := card.Layout(card.A5)
	truth := printedSheet(card.A5, sceneShelf, wax.SetState).Photograph(scene.Options{
		Seed: 5, WidthPx: 1000, HeightPx: 750, RotationDegrees: 12, TiltDegrees: 10, LightRatio: 1.4, LightTint: 0.04,
	})
	data := pngOf(t, truth.Image)
	want := Expect{Card: truth.Card}
	for _, i := range []int{0, len(g.Strip) / 2, len(g.Strip) - 1} {
		patch := g.Strip[i]
		middle := truth.ToPicture.Map(scene.Point{X: (patch.Rect.Min.X + patch.Rect.Max.X) / 2, Y: (patch.Rect.Min.Y + patch.Rect.Max.Y) / 2})
		got, err := Spot(data, Place{X: middle.X, Y: middle.Y, Radius: 3}, want)
		require.NoError(t, err)
		assert.Less(t, spectrum.DE00(truth.Strip[i], got.Colour.Lab), 1.5, "patch %d", i)
		assert.Equal(t, ByWhite, got.Correction.Kind)
	}
	for _, d := range truth.Drops[1:4] {
		got, err := Spot(data, Place{X: d.CentrePx.X, Y: d.CentrePx.Y, Radius: d.RadiusPx / 3}, want)
		require.NoError(t, err)
		assert.Less(t, spectrum.DE00(d.Lab, got.Colour.Lab), 2.5, "drop %d: %v, %v", d.Number, d.Lab, got.Colour.Lab)
		assert.Contains(t, got.Notes[len(got.Notes)-1], "by the card's white alone")
	}
	beside, err := Spot(data, Place{X: 20, Y: 20, Radius: 8}, want)
	require.NoError(t, err)
	joined := ""
	for _, n := range beside.Notes {
		joined += n
	}
	assert.Contains(t, joined, "beside the card")
}

// With the strip's measured colours the colours are absolute.
func TestSpotIsCorrectedByTheMeasuredStrip(t *testing.T) {
	t.Parallel()
	truth := printedSheet(card.A5, sceneShelf, wax.SetState).Photograph(scene.Options{Seed: 6, WidthPx: 1000, HeightPx: 750})
	d := truth.Drops[0]
	got, err := Spot(pngOf(t, truth.Image), Place{X: d.CentrePx.X, Y: d.CentrePx.Y, Radius: d.RadiusPx / 3}, Expect{Card: truth.Card, Reference: truth.Strip})
	require.NoError(t, err)
	assert.Equal(t, ByReference, got.Correction.Kind)
	assert.Less(t, spectrum.DE00(d.Lab, got.Colour.Lab), 2.5)
}

// A real photograph of a chart from an open library, see SOURCES.md beside it:
// patches read as spots have the published values, to the median dE00 of 2 owed.
func TestSpotIsCorrectedByAChart(t *testing.T) {
	t.Parallel()
	known := chart.After2014.Colours()
	data, err := os.ReadFile(filepath.Join(refdata, "photos", "chart_in_booth.png"))
	if err != nil {
		t.Skip("the photographs of charts are not here")
	}
	read, err := ReadChart(data, known)
	require.NoError(t, err)
	var misses []float64
	for i, sound := range read.Sound {
		if !sound || i%5 != 0 {
			continue
		}
		got, err := Spot(data, Place{X: read.CentresPx[i][0], Y: read.CentresPx[i][1], Radius: 5}, Expect{Card: spectrum.Lab{L: 95}, Chart: known})
		require.NoError(t, err)
		assert.Equal(t, ByChart, got.Correction.Kind)
		misses = append(misses, spectrum.DE00(known[i], got.Colour.Lab))
	}
	t.Logf("median %.2f dE00", rank.Median(misses))
	assert.Less(t, rank.Median(misses), 2.0)
}

// plainPicture is of one colour, with a shiny dot in the middle.
func plainPicture(c color.Color, dot int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 800, 400))
	draw.Draw(img, img.Rect, image.NewUniform(c), image.Point{}, draw.Src)
	draw.Draw(img, image.Rect(400-dot, 200-dot, 400+dot, 200+dot), image.White, image.Point{}, draw.Src)
	return img
}

// sRGB code values as IEC 61966-2-1 defines them; mid grey #777777 has L* 50.03
// (from memory).
func TestSpotWithoutAReferenceIsTakenAsItIs(t *testing.T) {
	data := pngOf(t, plainPicture(color.RGBA{0x77, 0x77, 0x77, 255}, 1))
	want := Expect{Card: spectrum.Lab{L: 95}}
	for _, at := range []Place{{X: 400, Y: 200, Radius: 20}, {X: 50, Y: 50, Radius: 20, Percent: true}, {X: 50, Y: 50, Percent: true, Radius: 10}, {X: 20, Y: 20}} {
		got, err := Spot(data, at, want)
		require.NoError(t, err)
		assert.InDelta(t, 50.03, got.Colour.Lab.L, 0.02, "the shine is left out")
		assert.InDelta(t, 0, math.Hypot(got.Colour.Lab.A, got.Colour.Lab.B), 0.02)
		assert.Empty(t, got.Correction.Kind)
		assert.Contains(t, got.Notes, notCorrected)
	}
}

func TestSpotRefuses(t *testing.T) {
	want := Expect{Card: spectrum.Lab{L: 95}}
	grey := color.RGBA{0x77, 0x77, 0x77, 255}
	var refusal *picture.Refusal
	_, err := Spot(pngOf(t, plainPicture(grey, 15)), Place{X: 400, Y: 200, Radius: 20}, want)
	require.ErrorAs(t, err, &refusal)
	assert.Contains(t, refusal.What, "overexposed")
	_, err = Spot(pngOf(t, plainPicture(color.Black, 1)), Place{X: 400, Y: 200, Radius: 20}, want)
	require.ErrorAs(t, err, &refusal)
	assert.Contains(t, refusal.What, "too dark")
	_, err = Spot([]byte("no picture"), Place{}, want)
	assert.Error(t, err)
	plain := pngOf(t, plainPicture(grey, 1))
	for _, at := range []Place{{X: -1, Y: 5}, {X: 800, Y: 5}, {X: 101, Y: 5, Percent: true}, {X: 5, Y: math.NaN()}, {X: 5, Y: 5, Radius: -1}, {X: 5, Y: 5, Radius: 201}} {
		_, err := Spot(plain, at, want)
		assert.ErrorContains(t, err, "outside the picture", "%v", at)
	}
}
