package optics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/integrate/quad"

	"setshade/internal/optics"
)

// fromWithin is Fresnel's reflectance for light that meets the surface from
// inside a medium of index n at angle theta: sine and tangent form (Born and
// Wolf, Principles of Optics, sec. 1.5.2), 1 beyond the critical angle.
func fromWithin(n, theta float64) float64 {
	sin := n * math.Sin(theta)
	switch {
	case sin >= 1:
		return 1
	case theta < 1e-9:
		return (n - 1) * (n - 1) / ((n + 1) * (n + 1))
	}
	out := math.Asin(sin)
	s := math.Sin(theta-out) / math.Sin(theta+out)
	p := math.Tan(theta-out) / math.Tan(theta+out)
	return (s*s + p*p) / 2
}

// Judd 1942, J. Res. NBS 29:329, tables for n = 1.5: 0.0918 for diffuse light
// from outside, 0.5963 from inside (from memory). k1 of glass, 4 %, is in every
// textbook.
func TestSurfaceAgainstJudd(t *testing.T) {
	s := optics.SurfaceOf(1.5)
	assert.InDelta(t, 0.04, s.K1, 1e-15)
	assert.InDelta(t, 0.5963, s.K2, 5e-5)
	// k2 = 1 - (1 - rd)/n² turned round.
	assert.InDelta(t, 0.0918, 1-(1-s.K2)*1.5*1.5, 5e-5)
}

// Walsh's closed form against the integral that it solves,
// 2 ∫ f(θ) sin θ cos θ dθ from within.
func TestSurfaceAgainstIntegral(t *testing.T) {
	for _, n := range []float64{1.1, 1.33, 1.43, 1.45, 1.6, 2.4} {
		critical := math.Asin(1 / n)
		// θ = critical (1 - s²) smooths the square-root rise of f to 1.
		below := quad.Fixed(func(s float64) float64 {
			theta := critical * (1 - s*s)
			return fromWithin(n, theta) * math.Sin(2*theta) * 2 * critical * s
		}, 0, 1, 200, quad.Legendre{}, 0)
		beyond := 1 - 1/(n*n) // cos² of the critical angle
		assert.InDelta(t, below+beyond, optics.SurfaceOf(n).K2, 1e-8, "n = %g", n)
	}
}

func TestSurfaceLimits(t *testing.T) {
	assert.Equal(t, optics.Surface{}, optics.SurfaceOf(1), "no surface")
	assert.InDelta(t, 0, optics.SurfaceOf(1.001).K2, 0.003)
	wax := optics.SurfaceOf(1.44)
	assert.Zero(t, wax.Outside(0))
	assert.Zero(t, wax.Inside(0))
	assert.InDelta(t, 1-wax.K1, wax.Outside(1), 1e-15, "white inside loses only what never entered")
	assert.Panics(t, func() { optics.SurfaceOf(0.9) })
	assert.Panics(t, func() { optics.SurfaceOf(math.NaN()) })
}

// Saunderson 1942, his k1 = 0.04 and k2 = 0.6 for n = 1.5, worked by hand
// without the mirrored light: 0.96 × 0.4 × 0.5 / (1 - 0.3) = 0.192 / 0.7.
func TestSaundersonByHand(t *testing.T) {
	s := optics.Surface{K1: 0.04, K2: 0.6}
	assert.InDelta(t, 0.192/0.7, s.Outside(0.5), 1e-15)
	assert.InDelta(t, 0.5, s.Inside(0.192/0.7), 1e-15)
}

func TestSurfaceRoundTripAndSlope(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 1000 {
		s := optics.SurfaceOf(1.3 + 0.3*rng.Float64())
		inner := 0.001 + 0.998*rng.Float64()
		assert.InEpsilon(t, inner, s.Inside(s.Outside(inner)), 1e-12)
		assert.Less(t, s.Outside(inner), inner, "the surface darkens")
		assert.InEpsilon(t, central(s.Outside, inner, 1e-5), s.OutsideSlope(inner), 1e-7)
	}
}
