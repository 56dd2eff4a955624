package optics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/optics"
)

// randomFilm draws K/S over 1e-4..1e3, S·X over 1e-2..1e2, any backing.
func randomFilm(rng *rand.Rand) (ks, sx, backing float64) {
	return math.Pow(10, -4+7*rng.Float64()), math.Pow(10, -2+4*rng.Float64()), rng.Float64()
}

// Kubelka 1948, the hyperbolic solution, written as printed.
func asPrinted(ks, sx, backing float64) float64 {
	a := 1 + ks
	b := math.Sqrt(a*a - 1)
	coth := 1 / math.Tanh(b*sx)
	return (1 - backing*(a-b*coth)) / (a - backing + b*coth)
}

func TestFilmIsTheHyperbolicSolution(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	for range 5000 {
		ks, sx, backing := randomFilm(rng)
		assert.InDelta(t, asPrinted(ks, sx, backing), optics.Film(ks, sx, backing), 1e-10, "%g %g %g", ks, sx, backing)
	}
}

// The theory itself, without its solution: dR/dSX = 1 - 2aR + R², R = Rg at the
// backing (Kubelka 1948), stepped by Runge-Kutta.
func TestFilmSolvesItsDifferentialEquation(t *testing.T) {
	for _, c := range []struct{ ks, sx, backing float64 }{
		{0, 2, 0.1}, {0.02, 3, 0.85}, {0.5, 0.7, 0.9}, {4, 0.4, 0.02}, {20, 0.1, 1},
	} {
		growth := func(r float64) float64 { return 1 - 2*(1+c.ks)*r + r*r }
		const steps = 2000
		h, r := c.sx/steps, c.backing
		for range steps {
			k1 := growth(r)
			k2 := growth(r + h*k1/2)
			k3 := growth(r + h*k2/2)
			k4 := growth(r + h*k3)
			r += h * (k1 + 2*k2 + 2*k3 + k4) / 6
		}
		assert.InDelta(t, r, optics.Film(c.ks, c.sx, c.backing), 1e-10)
	}
}

// Kubelka 1948, the case of no absorption.
func TestFilmWithoutAbsorption(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for range 1000 {
		_, sx, backing := randomFilm(rng)
		want := (backing + (1-backing)*sx) / (1 + (1-backing)*sx)
		assert.InDelta(t, want, optics.Film(0, sx, backing), 1e-14)
		assert.InDelta(t, want, optics.Film(1e-14, sx, backing), 1e-9, "no step towards K = 0")
	}
}

func TestFilmLimits(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	for range 1000 {
		ks, sx, backing := randomFilm(rng)
		opaque := optics.ReflectanceOfKS(ks)
		assert.Equal(t, opaque, optics.Film(ks, math.Inf(1), backing), "opaque")
		assert.InDelta(t, opaque, optics.Film(ks, 1e6, backing), 1e-12, "nearly opaque")
		assert.InDelta(t, backing, optics.Film(ks, 0, backing), 1e-15, "no film")
		assert.InDelta(t, backing, optics.Film(ks, 1e-12, backing), 1e-8, "hardly a film")
		assert.InDelta(t, opaque, optics.Film(ks, sx, opaque), 1e-12, "a backing of its own kind never shows")
	}
}

// Every corner of the valid range gives a reflectance between backing and
// opaque, and slopes that are no NaN.
func TestFilmIsSoundAtTheCorners(t *testing.T) {
	inf := math.Inf(1)
	for _, ks := range []float64{0, 5e-324, 1e-300, 1e-16, 1e-8, 1e-3, 1, 1e3, 1e6, 1e150} {
		for _, sx := range []float64{0, 5e-324, 1e-300, 1e-9, 1, 1e3, 1e6, 1e100, inf} {
			for _, backing := range []float64{0, 1e-300, 1e-9, 0.5, 1 - 1e-12, 1} {
				r, slope := optics.FilmWithSlope(ks, sx, backing)
				opaque := optics.ReflectanceOfKS(ks)
				at := []any{"K/S %g, SX %g, backing %g: R %g, slope %+v", ks, sx, backing, r, slope}
				require.Equal(t, optics.Film(ks, sx, backing), r, at...)
				require.GreaterOrEqual(t, r, min(backing, opaque)*(1-1e-12), at...)
				require.LessOrEqual(t, r, max(backing, opaque)*(1+1e-12), at...)
				for _, s := range []float64{slope.KS, slope.SX, slope.Backing} {
					require.False(t, math.IsNaN(s), at...)
				}
				require.GreaterOrEqual(t, slope.Backing, 0.0, at...)
				if ks <= 1e6 {
					require.LessOrEqual(t, slope.KS, 0.0, at...)
				}
				if sx < inf {
					require.False(t, math.IsInf(slope.KS, 0), at...)
				}
			}
		}
	}
}

// More absorption is never lighter, whatever the film; more scattering moves
// the film from its backing towards opaque; a lighter backing never darkens.
func TestFilmIsMonotone(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 4))
	for range 3000 {
		ks, sx, backing := randomFilm(rng)
		r := optics.Film(ks, sx, backing)
		opaque := optics.ReflectanceOfKS(ks)
		assert.LessOrEqual(t, optics.Film(ks*1.1, sx, backing), r+1e-15)
		assert.GreaterOrEqual(t, optics.Film(ks, sx, min(1, backing*1.1)), r-1e-15)
		assert.LessOrEqual(t, math.Abs(optics.Film(ks, sx*1.1, backing)-opaque), math.Abs(r-opaque)+1e-15)
	}
}

// A film on a film is one film of both thicknesses: the backing of the upper
// is the lower with its own backing (Kubelka 1954, J. Opt. Soc. Am. 44:330).
func TestFilmOnFilm(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 5))
	for range 2000 {
		ks, sx, backing := randomFilm(rng)
		lower := rng.Float64() * sx
		stacked := optics.Film(ks, sx-lower, optics.Film(ks, lower, backing))
		assert.InDelta(t, optics.Film(ks, sx, backing), stacked, 1e-13)
	}
}

// Kubelka 1948: from the film over black (R0) and over a backing Rg (R),
//
//	a = (R + (R0 - R + Rg) / (R0 Rg)) / 2
//	SX = arcoth((1 - a R0) / (b R0)) / b
//
// The contrast ratio R0/R is the hiding of ISO 6504-3.
func TestTwoBackingsGiveTheFilmBack(t *testing.T) {
	for _, c := range []struct{ ks, sx, backing float64 }{
		{0.01, 2, 0.8}, {0.1, 1.5, 0.8}, {0.5, 0.8, 0.9}, {2, 0.5, 0.7},
	} {
		r0, r := optics.Film(c.ks, c.sx, 0), optics.Film(c.ks, c.sx, c.backing)
		a := (r + (r0-r+c.backing)/(r0*c.backing)) / 2
		b := math.Sqrt(a*a - 1)
		sx := math.Atanh(b*r0/(1-a*r0)) / b
		assert.InEpsilon(t, c.ks, a-1, 1e-9)
		assert.InEpsilon(t, c.sx, sx, 1e-9)
		thicker := optics.Film(c.ks, 2*c.sx, 0) / optics.Film(c.ks, 2*c.sx, c.backing)
		assert.Greater(t, thicker, r0/r, "twice the film hides more")
	}
}

func TestFilmSlopes(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 6))
	for range 1000 {
		ks, sx, backing := randomFilm(rng)
		backing = 0.01 + 0.98*backing
		_, slope := optics.FilmWithSlope(ks, sx, backing)
		same := func(want, got, scale float64, name string) {
			// What a central difference of a reflectance can tell.
			assert.InDelta(t, want*scale, got*scale, 1e-6*math.Abs(want*scale)+1e-10, "%s at %g %g %g", name, ks, sx, backing)
		}
		same(central(func(x float64) float64 { return optics.Film(x, sx, backing) }, ks, 1e-4*ks), slope.KS, ks, "K/S")
		same(central(func(x float64) float64 { return optics.Film(ks, x, backing) }, sx, 1e-4*sx), slope.SX, sx, "SX")
		same(central(func(x float64) float64 { return optics.Film(ks, sx, x) }, backing, 1e-5), slope.Backing, 1, "backing")
	}
}

// At K = 0 the slope in K/S is that of the limit from above, worked by hand
// from the expansion of Kubelka's solution in K/S: over black, R = X/(1+X) and
//
//	dR/d(K/S) = -X² (1 + 2X/3) / (1 + X)²
func TestFilmSlopeWithoutAbsorption(t *testing.T) {
	for _, x := range []float64{1e-3, 0.5, 1, 3, 30, 1e4} {
		_, slope := optics.FilmWithSlope(0, x, 0)
		assert.InEpsilon(t, -x*x*(1+2*x/3)/((1+x)*(1+x)), slope.KS, 1e-12)
	}
	_, near := optics.FilmWithSlope(1e-12, 3, 0.4)
	_, at := optics.FilmWithSlope(0, 3, 0.4)
	assert.InEpsilon(t, at.KS, near.KS, 1e-9)
}

// The slope must not jump where its series hands over to the closed form.
func TestFilmSlopeAtTheHandOver(t *testing.T) {
	slopeAt := func(v float64) float64 { // bSX = v for SX = 1
		_, slope := optics.FilmWithSlope(math.Sqrt(1+v*v)-1, 1, 0.3)
		return slope.KS
	}
	assert.InEpsilon(t, slopeAt(0.05*(1-1e-12)), slopeAt(0.05*(1+1e-12)), 1e-11)
}

func BenchmarkFilm(b *testing.B) {
	for b.Loop() {
		optics.Film(0.2, 3, 0.9)
	}
}

func BenchmarkFilmWithSlope(b *testing.B) {
	for b.Loop() {
		optics.FilmWithSlope(0.2, 3, 0.9)
	}
}
