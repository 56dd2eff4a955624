package report

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// The derivatives of chroma and hue against differences of them.
func TestCoordinatesHaveTheirDerivatives(t *testing.T) {
	const step = 1e-6
	at := spectrum.Lab{L: 50, A: 12, B: -7}
	for _, c := range coordinates {
		by := c.by(at)
		for k := range 3 {
			v := at.Vector()
			v[k] += step
			assert.InDelta(t, (c.of(spectrum.LabOf(v))-c.of(at))/step, by[k], 1e-4, "%s by %d", c.name, k)
		}
	}
}

func TestHueGoesOnPastAFullTurn(t *testing.T) {
	hue := coordinates[2]
	assert.InDelta(t, 365, hue.near(5, 350), 1e-12)
	assert.InDelta(t, -5, hue.near(355, 10), 1e-12)
	for _, tick := range (turningTicks{360}).Ticks(300, 420) {
		assert.NotEqual(t, "400", tick.Label)
	}
	var labels []string
	for _, tick := range (doseTicks{}).Ticks(0.09, 2.5) {
		labels = append(labels, tick.Label)
	}
	assert.Equal(t, []string{"0.1", "0.2", "0.5", "1", "2"}, labels)
}

// A drop is drawn where it was measured: its colour is found in the picture, in
// the a*b* plane as in each panel of its dye, and nowhere without it.
func TestCurvesPictureShowsTheDrops(t *testing.T) {
	var samples []calibrate.Sample
	var swatches []wax.Swatch
	for i, lab := range []spectrum.Lab{{L: 95, A: 0, B: 6}, {L: 80, A: 20, B: 3}, {L: 60, A: 38, B: 2}, {L: 40, A: 45, B: 4}} {
		s := wax.Swatch{ID: int64(i + 1), State: wax.SetState, Card: plan.UsualCard, Colour: spectrum.Measured{Lab: lab}}
		for k := range 3 {
			s.Colour.Cov[k][k] = 0.04
		}
		if i > 0 {
			s.Recipe = wax.Recipe{{Dye: "Foxglove", DoseGPerKg: 0.1 * math.Pow(4, float64(i))}}
		}
		swatches = append(swatches, s)
	}
	samples = calibrate.SamplesOf(wax.Wax{}, swatches)
	model, err := calibrate.Learn(wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44}, samples)
	require.NoError(t, err)
	l := workshop.Lesson{Wax: wax.Wax{Name: "Harrow Soy"}, Model: model, Drops: swatches}
	picture, err := CurvesPicture(l)
	require.NoError(t, err)
	for _, s := range swatches[1:] {
		want := displayed(s.Colour.Lab)
		wr, wg, wb, _ := want.RGBA()
		found := 0
		for y := picture.Bounds().Min.Y; y < picture.Bounds().Max.Y; y++ {
			for x := picture.Bounds().Min.X; x < picture.Bounds().Max.X; x++ {
				if r, g, b, _ := picture.At(x, y).RGBA(); r == wr && g == wg && b == wb {
					found++
				}
			}
		}
		assert.Greater(t, found, 4*30, "four discs of swatch %d", s.ID)
	}
}
