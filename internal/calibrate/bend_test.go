package calibrate

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/optimize"

	"setshade/internal/optics"
	"setshade/internal/scene/transport"
	"setshade/internal/spectrum"
)

// The form of the bend follows the reflectance of opaque layers in radiative transfer
// (package transport, checked against van de Hulst 1980 and Giovanelli 1955) from pale
// to dark, whatever the crystals, the index and the fall of the light, with a gain, a
// level and β of its own; one exponent for all absorptions does not.
func TestBendFollowsRadiativeTransfer(t *testing.T) {
	lightness := func(factor float64) float64 { return spectrum.D65.Lab(spectrum.Flat(factor)).L }
	for _, c := range []struct{ index, asymmetry float64 }{{1.44, 0.35}, {1.44, 0.6}, {1.44, 0.8}, {1.41, 0.35}, {1.49, 0.8}} {
		medium, surface := transport.NewMedium(c.index, c.asymmetry, 16), optics.SurfaceOf(c.index)
		for _, light := range []string{"from 45°", "from all sides"} {
			var absorptions, truth []float64
			for a := 0.003; a < 6; a *= 1.25 {
				// K = 2a and S = 3/4 s (1 - g): Mudgett and Richards 1971, Appl. Opt. 10:1485.
				film := medium.Endless(1, 3.0/8*(1-c.asymmetry)*a)
				seen := film.Factor(0)
				if light == "from all sides" {
					seen = film.Reflectance(0) - surface.K1
				}
				absorptions, truth = append(absorptions, a), append(truth, lightness(seen))
			}
			worst := func(ks func(a float64, x []float64) float64, start ...float64) float64 {
				miss := func(x []float64) (square, worst float64) {
					for i, a := range absorptions {
						seen := math.Exp(x[0]) * surface.Outside(optics.ReflectanceOfKS(ks(a*math.Exp(x[1]), x)))
						d := math.Abs(lightness(seen) - truth[i])
						square, worst = square+d*d, max(worst, d)
					}
					return square, worst
				}
				best, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 { s, _ := miss(x); return s }}, start, nil, &optimize.NelderMead{})
				require.NoError(t, err)
				_, w := miss(best.X)
				return w
			}
			name := fmt.Sprintf("index %g, asymmetry %g, light %s", c.index, c.asymmetry, light)
			bent := worst(func(a float64, x []float64) float64 { return bendingOf(x[2]).ks(a) }, 0, 0, bendLevel)
			power := worst(func(a float64, x []float64) float64 { return a * math.Pow(a/pivot, x[2]) }, 0, 0, 0.1)
			t.Logf("%s: at worst %.2f in L*, with one exponent %.2f", name, bent, power)
			assert.Less(t, bent, 0.12, name)
			assert.Greater(t, power, 1.5*bent, name)
		}
	}
}

// What a search rests on: K/S is steeper the more there is absorbed, and the
// reflectance of an opaque layer is convex.
func TestBendsAreSteeperTheMoreIsAbsorbed(t *testing.T) {
	surface := optics.SurfaceOf(1.44)
	for _, beta := range []float64{1e-9, 0.03, paleBend, 0.25, mostConvex} {
		b := bending{dark: beta}
		const step = 1.05
		steepness, slope := 0.0, math.Inf(-1)
		for a := 1e-6; a < 1e4; a *= step {
			perA := b.power(a) * b.ks(a) / a
			assert.Greater(t, perA, steepness, "β %g at %g", beta, a)
			assert.InEpsilon(t, (b.ks(a*1.0001)-b.ks(a/1.0001))/(a*(1.0001-1/1.0001)), perA, 1e-6)
			steepness = perA
			next := (surface.Outside(optics.ReflectanceOfKS(b.ks(a*step))) - surface.Outside(optics.ReflectanceOfKS(b.ks(a)))) / (a * (step - 1))
			assert.GreaterOrEqual(t, next, slope, "β %g at %g", beta, a)
			slope = next
		}
	}
}
