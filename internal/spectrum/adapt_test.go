package spectrum_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/spectrum"
)

// Whites of ASTM E308, which the published matrix is made for.
var (
	astmD65 = spectrum.XYZ{X: 0.95047, Y: 1, Z: 1.08883}
	astmD50 = spectrum.XYZ{X: 0.96422, Y: 1, Z: 0.82521}
)

// Lindbloom, "Chromatic Adaptation", the Bradford matrix D65 to D50; the same,
// to four decimals, stands in sRGB profiles as their chad tag (ICC.1:2022
// annex E).
func TestBradfordAgainstPublishedMatrix(t *testing.T) {
	for axis, want := range map[spectrum.XYZ][3]float64{
		{X: 1}: {1.0478112, 0.0295424, -0.0092345},
		{Y: 1}: {0.0228866, 0.9904844, 0.0150436},
		{Z: 1}: {-0.0501270, -0.0170491, 0.7521316},
	} {
		got := axis.Adapt(astmD65, astmD50)
		assert.InDeltaSlice(t, want[:], []float64{got.X, got.Y, got.Z}, 1e-6, "%v", axis)
	}
}

func TestAdaptTakesWhiteToWhite(t *testing.T) {
	for _, from := range everyLight {
		for _, to := range everyLight {
			assertSameXYZ(t, to.White(), from.White().Adapt(from.White(), to.White()), 1e-6)
		}
	}
}

// Nothing changes from a white to itself (the printed inverse has 7 decimals),
// and there and back is where it began.
func TestAdaptTurnsBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	for range 500 {
		c := spectrum.XYZ{X: rng.Float64(), Y: rng.Float64(), Z: rng.Float64()}
		assertSameXYZ(t, c, c.Adapt(astmD65, astmD65), 1e-6)
		assertSameXYZ(t, c, c.Adapt(astmD65, astmD50).Adapt(astmD50, astmD65), 1e-6)
	}
}

func assertSameXYZ(t *testing.T, want, got spectrum.XYZ, tolerance float64) {
	t.Helper()
	assert.InDeltaSlice(t, []float64{want.X, want.Y, want.Z}, []float64{got.X, got.Y, got.Z}, tolerance)
}

// A spectrally flat grey has the chromaticity of any light, so that an eye used
// to the light sees no change.
func TestGreyDoesNotMoveUnderAnotherLight(t *testing.T) {
	for _, light := range everyLight {
		for _, r := range []float64{0.05, 0.4, 0.95} {
			grey := spectrum.Flat(r)
			assert.Less(t, spectrum.DE00(spectrum.D65.Lab(grey), light.SeenUnder(grey)), 1e-3, "%s %g", light, r)
		}
	}
}

// Two reflectances of one colour under D65 part under a lamp: a metamer. And a
// red, which reflects where the lamp is strong, grows lighter there.
func TestShadesMoveUnderALamp(t *testing.T) {
	red := spectrum.Sample(edge(600, 10))
	day := spectrum.D65.Lab(red)
	assert.Equal(t, day.IsFinite(), true)
	assert.Greater(t, spectrum.A.SeenUnder(red).L, day.L+3)
	assert.Less(t, spectrum.DE00(day, spectrum.D65.SeenUnder(red)), 1e-4, "daylight is where it began")

	smooth := day.Smooth()
	assert.Less(t, spectrum.DE00(day, spectrum.D65.Lab(smooth)), 1e-6)
	assert.Greater(t, spectrum.DE00(spectrum.A.SeenUnder(red), spectrum.A.SeenUnder(smooth)), 1.0)
}
