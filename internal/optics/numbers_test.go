package optics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/optics"
	"setshade/internal/spectrum"
)

// luminance of a drop of a mixture on card, seen through the wax's surface.
func luminance(t *testing.T, base optics.Colorant, dyes []optics.Colorant, doses []float64, sx, card float64) float64 {
	t.Helper()
	ks := optics.MixKS(base, dyes, doses)
	surface := optics.SurfaceOf(1.44)
	var seen spectrum.Spectrum
	for i := range seen {
		seen[i] = surface.Outside(optics.Film(ks[i], sx, card))
		require.False(t, math.IsNaN(seen[i]) || math.IsInf(seen[i], 0), "K/S %g, S·X %g", ks[i], sx)
		require.True(t, seen[i] >= 0 && seen[i] <= 1, "K/S %g, S·X %g: R %g", ks[i], sx, seen[i])
	}
	return spectrum.D65.Lab(seen).L
}

// More of any dye is never lighter, and more undyed wax is never darker, at any
// dose a number can hold, on films from none to opaque.
func TestMoreDyeIsNeverLighter(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 12))
	curve := func() spectrum.Spectrum {
		var s spectrum.Spectrum
		for i := range s {
			s[i] = math.Pow(10, 8*random.Float64()-6)
		}
		return s
	}
	for range 300 {
		base := optics.Colorant{K: curve(), S: spectrum.Flat(math.Pow(10, 6*random.Float64()-3))}
		dyes := []optics.Colorant{{K: curve()}, {K: curve()}}
		card := random.Float64()
		for _, sx := range []float64{0, 1e-9, 1, 12, 1e6, math.Inf(1)} {
			last := math.Inf(1)
			for _, dose := range []float64{0, 1e-300, 1e-6, 0.1, 1, 30, 1000, 1e12} {
				l := luminance(t, base, dyes, []float64{dose, 0.5}, sx, card)
				require.LessOrEqual(t, l, last+1e-9, "dose %g, S·X %g", dose, sx)
				last = l
			}
			dyed, last := []float64{2, 3}, 0.0
			for _, undyed := range []float64{0, 0.1, 1, 10, 1e6} { // parts to one part dyed
				l := luminance(t, base, dyes, []float64{dyed[0] / (1 + undyed), dyed[1] / (1 + undyed)}, sx, card)
				require.GreaterOrEqual(t, l, last-1e-9, "undyed %g, S·X %g", undyed, sx)
				last = l
			}
		}
	}
}

// A hundred dyes at once, each at the most that a recipe may have.
func TestAHundredDyesMixToAFiniteColour(t *testing.T) {
	base := optics.Colorant{K: spectrum.Flat(0.01), S: spectrum.Flat(1)}
	dyes, doses := make([]optics.Colorant, 100), make([]float64, 100)
	for i := range dyes {
		dyes[i], doses[i] = optics.Colorant{K: spectrum.Flat(1e3), S: spectrum.Flat(float64(i % 2))}, 1000
	}
	assert.GreaterOrEqual(t, luminance(t, base, dyes, doses, 12, 0.9), 0.0)
}

// Wax that all but does not scatter absorbs all that enters it, and is black.
func TestWaxThatHardlyScattersIsBlack(t *testing.T) {
	base := optics.Colorant{K: spectrum.Flat(1), S: spectrum.Flat(1e-300)}
	clear := luminance(t, base, nil, nil, math.Inf(1), 0.9)
	assert.InDelta(t, 0, clear, 1e-6)
}
