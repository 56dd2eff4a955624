package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// The Jacobian of the colour of every kind of piece, with and without a pigment
// in it, against central differences (gonum's diff/fd).
func TestRespondSlopes(t *testing.T) {
	dyes := []DyeRange{
		{Name: "Bracken", ReferenceGPerKg: 1, LiquidDrops: 1}, {Name: "Chalk", ReferenceGPerKg: 2, Scatters: true, LiquidDrops: 1},
		{Name: "Slate", ReferenceGPerKg: 0.5, LiquidDrops: 1},
	}
	l, m := newLayout(dyes, []string{"a", "b"}, true).telling(thickness{UsualMM: 1.2, UsualLiquidMM: 0.8, Drops: []int64{7, 9}}), mediaOf(1.44)
	theta := newPrior(l, 1).mean
	random := rand.New(rand.NewPCG(5, 5))
	for i := range theta {
		theta[i] += 0.2 * random.NormFloat64()
	}
	bar := spectrum.Lab{L: 20, A: 1, B: -1}
	dissolved := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.6}, {Dye: "Slate", DoseGPerKg: 2}}
	pigmented := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.6}, {Dye: "Chalk", DoseGPerKg: 3}}
	for name, s := range map[string]Sample{
		"thick": {Recipe: dissolved, Thick: true}, "on card": {Recipe: dissolved, Card: testCard, CardID: "b"},
		"over the bar": {Recipe: dissolved, Card: bar}, "liquid": {Recipe: dissolved, Card: testCard, State: wax.LiquidState, CardID: "a"},
		"pigment, thick": {Recipe: pigmented, Thick: true}, "pigment over the bar": {Recipe: pigmented, Card: bar, CardID: "b"},
		"thickness told": {ID: 9, Recipe: dissolved, Card: bar, ThicknessMM: 0.7}, "thickness told, liquid": {ID: 7, Recipe: dissolved, Card: testCard, State: wax.LiquidState, ThicknessMM: 1},
		"pigment, liquid": {Recipe: pigmented, Card: testCard, State: wax.LiquidState},
	} {
		p := l.pieceOf(s)
		f := l.respond(l.film(theta, p, m))
		for coordinate := range 3 {
			slope := fd.Gradient(nil, func(theta []float64) float64 {
				film := l.film(theta, p, m)
				return spectrum.D65.Lab(film.outer()).Vector()[coordinate]
			}, theta, &fd.Settings{Formula: fd.Central, Step: 1e-5})
			seen := map[int]bool{}
			for i, unknown := range f.index {
				require.False(t, seen[unknown], "unknown %d twice", unknown)
				seen[unknown] = true
				assert.InDelta(t, slope[unknown], f.jacobian[i][coordinate], 1e-5, "unknown %d, %s", unknown, name)
			}
			for unknown, v := range slope {
				if !seen[unknown] {
					require.Zero(t, v, "unknown %d is not in the Jacobian but moves the colour, %s", unknown, name)
				}
			}
		}
	}
}

// What no sample touches is no unknown: one card of set drops has those of the
// wax and of its dyes, and no more.
func TestUntouchedUnknownsAreNotThere(t *testing.T) {
	samples := []Sample{
		{CardID: "a"}, {Recipe: wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}}, CardID: "a"},
		{Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}}, CardID: "a"},
	}
	size := func(samples []Sample) int { return layoutOf(samples, rangesOf(samples, known{})).size }
	assert.Equal(t, waxUnknowns+2*dyeUnknowns, size(samples))
	samples[0].CardID = "b"
	assert.Equal(t, waxUnknowns+2*dyeUnknowns+2, size(samples), "how much thicker each of two cards is")
	samples[1].State = wax.LiquidState
	assert.Equal(t, waxUnknowns+2*dyeUnknowns+2+3+1, size(samples), "the liquid wax, and the ratio of Slate alone")
	samples[2].ThicknessMM = 1
	assert.Equal(t, waxUnknowns+2*dyeUnknowns+2+3+1+1, size(samples), "how far off the thickness of one drop was told")
}

// Uniform B-splines add up to one everywhere (de Boor 1978, ch. IX, eq. 36:
// from memory), so a constant curve is constant.
func TestBasisPartitionsUnity(t *testing.T) {
	for i := range basis {
		sum := 0.0
		for _, v := range basis[i] {
			sum += v
		}
		assert.InDelta(t, 1, sum, 1e-14, "band %d", i)
	}
}

// Two-constant theory (Duncan 1940, Proc. Phys. Soc. 52:390), worked by hand: in all
// bands absorption and scattering over that of the wax are
// (K0 + Σ ci Ki) / (S0 + Σ ci Si).
func TestMixtureByHand(t *testing.T) {
	l := newLayout([]DyeRange{{Name: "Bracken", ReferenceGPerKg: 1}, {Name: "Chalk", ReferenceGPerKg: 1, Scatters: true}}, nil, false)
	p := l.pieceOf(Sample{Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}, {Dye: "Chalk", DoseGPerKg: 4}}, Thick: true})
	theta := make([]float64, l.size)
	for i, absorbs := range []float64{0.02, 0.38, 0.1} { // of the wax, of Bracken, of Chalk, over the S of the wax
		at := 0
		if i > 0 {
			at = p.mix[i-1].at
			theta[at+exponent] = 1
		}
		for j := range knots {
			theta[at+j] = math.Log(absorbs)
		}
	}
	theta[p.mix[1].scatter+scatterLevel] = math.Log(0.25)
	f := l.film(theta, p, mediaOf(1.44))
	for i := range f.sum {
		assert.InEpsilon(t, 0.02+2*0.38+4*0.1, f.sum[i], 1e-12)
		assert.InEpsilon(t, 1+4*0.25, f.dense[i], 1e-12)
	}
}
