package transport

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/integrate/quad"
)

// wax is near what the scenes use.
var wax = Layer{ScatteringPerMM: 10, AbsorptionPerMM: 0.2, ThicknessMM: 2.7}

// van de Hulst 1980, "Multiple light scattering", volume 2, table 35: a slab of
// albedo 0.9, g = 0.75, optical depth 2, no step in refractive index. Values
// as quoted by Wang, Jacques and Zheng 1995, "MCML", Comput. Methods Programs
// Biomed. 47:131; from memory.
func TestSlabOfVanDeHulst(t *testing.T) {
	l := Layer{ScatteringPerMM: 1.8, AbsorptionPerMM: 0.2, ThicknessMM: 1}
	r, tt := NewMedium(1, 0.75, 16).InAir(l)
	assert.InDelta(t, 0.09739, r, 1e-5)
	assert.InDelta(t, 0.66096, tt, 1e-5)
	r, tt = NewMedium(1, 0.75, 10).InAir(l)
	assert.InDelta(t, 0.09739, r, 1e-4)
	assert.InDelta(t, 0.66096, tt, 1e-4)
}

// Giovanelli 1955, "Reflection by semi-infinite diffusers", Optica Acta 2:153:
// isotropic scattering, albedo 0.9, refractive index 1.5: 0.2600 with the
// mirrored light. As quoted by Wang, Jacques and Zheng 1995; from memory. The
// fourth digit of 1955 is one too high: this gives 0.2599, and so does
// TestSurfaceOnChandrasekhar's other way.
func TestEndlessLayerOfGiovanelli(t *testing.T) {
	for _, directions := range []int{12, 16, 32} {
		f := NewMedium(1.5, 0, directions).Endless(9, 1)
		assert.InDelta(t, 0.2600, f.Reflectance(0), 1e-4)
	}
}

// Giovanelli's case without adding or doubling: Chandrasekhar 1950 gives what
// the endless layer returns without its surface,
//
//	R(μ, μ') = a/4 H(μ) H(μ') / (μ + μ')
//
// and the light to and fro between layer and surface is summed bounce by bounce.
func TestSurfaceOnChandrasekhar(t *testing.T) {
	const n, albedo, nodes = 1.5, 0.9, 40
	h := solveH(albedo)
	returns := func(out, in float64) float64 { return albedo / 4 * h(out) * h(in) / (out + in) }
	mu, w := make([]float64, 2*nodes), make([]float64, 2*nodes)
	quad.Legendre{}.FixedLocations(mu[:nodes], w[:nodes], 0, refractedCosine(n, 0))
	quad.Legendre{}.FixedLocations(mu[nodes:], w[nodes:], 0, 1)
	for i := nodes; i < 2*nodes; i++ {
		inAir := mu[i]
		mu[i] = refractedCosine(n, inAir)
		w[i] *= inAir / mu[i] / (n * n)
	}
	up := make([]float64, 2*nodes)
	for range 60 {
		next := make([]float64, 2*nodes)
		for i := range next {
			next[i] = (1 - mirrored(n, 1)) * returns(mu[i], 1)
			for j := range up {
				next[i] += 2 * mu[j] * w[j] * returns(mu[i], mu[j]) * mirrored(n, mu[j]) * up[j]
			}
		}
		up = next
	}
	want := mirrored(n, 1)
	for i, u := range up {
		want += 2 * mu[i] * w[i] * (1 - mirrored(n, mu[i])) * u
	}
	assert.InDelta(t, want, NewMedium(n, 0, 16).Endless(9, 1).Reflectance(0), 1e-6)
}

// Chandrasekhar 1950, "Radiative transfer", chapter III: with isotropic
// scattering of albedo a, an endless layer lit along the normal returns
//
//	R = 1 - H(1) sqrt(1 - a),   1/H(μ) = sqrt(1-a) + a/2 ∫ μ' H(μ') / (μ + μ') dμ'
//
// and for a = 1, H(1) = 2.9078 (his table of H; from memory).
func TestEndlessLayerOfChandrasekhar(t *testing.T) {
	assert.InDelta(t, 2.9078, chandrasekharH(1), 5e-5)
	for _, albedo := range []float64{0.3, 0.7, 0.9, 0.99, 0.9999} {
		want := 1 - chandrasekharH(albedo)*math.Sqrt(1-albedo)
		f := NewMedium(1, 0, 12).Endless(albedo, 1-albedo)
		assert.InDelta(t, want, f.Reflectance(0), 3e-5, "albedo %g", albedo)
	}
}

// The reflectance factor of that layer, lit along the normal and seen at μ, is
//
//	R = a/4 H(μ) H(1) / (μ + 1)
//
// Source: Chandrasekhar 1950, chapter III.
func TestObliqueViewOfChandrasekhar(t *testing.T) {
	for _, albedo := range []float64{0.3, 0.9, 0.99} {
		mu := math.Sqrt(0.5)
		h := solveH(albedo)
		want := albedo / 4 * h(mu) * h(1) / (mu + 1)
		f := NewMedium(1, 0, 12).Endless(albedo, 1-albedo)
		assert.InDelta(t, want, f.Factor(0), 3e-5, "albedo %g", albedo)
	}
}

func chandrasekharH(albedo float64) float64 { return solveH(albedo)(1) }

// solveH iterates the integral equation on Gauss nodes, with the damping that a
// = 1 needs.
func solveH(albedo float64) func(mu float64) float64 {
	const n = 64
	x, w := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	h := make([]float64, n)
	for i := range h {
		h[i] = 1
	}
	at := func(mu float64) float64 {
		sum := math.Sqrt(1 - albedo)
		for j := range x {
			sum += albedo / 2 * w[j] * x[j] * h[j] / (mu + x[j])
		}
		return 1 / sum
	}
	for range 300 {
		next := make([]float64, n)
		for i := range next {
			next[i] = (h[i] + at(x[i])) / 2
		}
		h = next
	}
	return at
}

// Light that nothing absorbs comes out again, all of it.
func TestNoLightIsLostWithoutAbsorption(t *testing.T) {
	for _, n := range []float64{1, 1.33, 1.44, 1.6} {
		for _, g := range []float64{0, 0.6, 0.9} {
			m := NewMedium(n, g, 10)
			for _, depth := range []float64{0.01, 1, 30, 1000} {
				r, tt := m.InAir(Layer{ScatteringPerMM: depth, ThicknessMM: 1})
				assert.InDelta(t, 1, r+tt, 1e-9, "n %g g %g depth %g", n, g, depth)
				// Over a perfect card too.
				assert.InDelta(t, 1, m.Film(Layer{ScatteringPerMM: depth, ThicknessMM: 1}).Reflectance(1), 1e-9)
			}
			// An absorption of only ε lowers this by a few times √ε, and rounding
			// acts like an ε of 1e-13.
			assert.InDelta(t, 1, m.Endless(1, 0).Reflectance(0), 5e-6)
		}
	}
}

// The same light comes back when source and eye change places: what direction j
// sends to i, i sends to j (Helmholtz; Stokes 1849), for reflection and
// transmission.
func TestReversibility(t *testing.T) {
	m := NewMedium(1.44, 0.6, 10)
	l := wax
	l.ThicknessMM /= 1024
	s, d := m.begin(l), newDesk(len(m.cos))
	for range 10 {
		s.double(d)
	}
	for i := range m.oblique {
		for j := range i {
			assert.InEpsilon(t, s.reflect.row(i)[j]/m.flux[j], s.reflect.row(j)[i]/m.flux[i], 1e-9)
			assert.InDelta(t, s.transmit.row(i)[j]/m.flux[j], s.transmit.row(j)[i]/m.flux[i], 1e-9)
		}
	}
}

// Without scattering or card nothing but the mirrored light comes back, and over
// a card the layer obeys the closed form of Williams and Clapper 1953, J. Opt.
// Soc. Am. 43:595, here integrated over 4000 angles. The light that the surface
// returns takes long ways, which few directions follow less well.
func TestClearLayerOfWilliamsAndClapper(t *testing.T) {
	const n, card = 1.44, 0.89
	for _, c := range []struct {
		directions int
		within     float64
	}{{10, 3e-4}, {16, 1e-4}, {32, 1e-5}} {
		m := NewMedium(n, 0, c.directions)
		for _, depth := range []float64{0, 0.01, 0.1, 0.5, 2} {
			got := m.Film(Layer{AbsorptionPerMM: depth, ThicknessMM: 1})
			assert.InDelta(t, 0, got.Factor(0), 1e-12)
			back, critical := 0.0, refractedCosine(n, 0)
			const steps = 2000
			for i := range steps {
				x := (float64(i) + 0.5) / steps
				mu := refractedCosine(n, x)
				back += 2 * x / (n * n) / steps * mirrored(n, mu) * math.Exp(-2*depth/mu)
				mu = x * critical
				back += 2 * mu * critical / steps * math.Exp(-2*depth/mu)
			}
			oblique := refractedCosine(n, math.Sqrt(0.5))
			direct := (1 - mirrored(n, 1)) * (1 - mirrored(n, oblique)) / (n * n) * math.Exp(-depth*(1+1/oblique))
			want := direct * card / (1 - card*back)
			assert.InDelta(t, want, got.Factor(card), c.within, "depth %g, %d directions", depth, c.directions)
		}
	}
}

// Fresnel at normal incidence is ((n-1)/(n+1))², and at Brewster's angle half of
// sin²(φ-φ') (Born and Wolf, section 1.5).
func TestMirroring(t *testing.T) {
	assert.InDelta(t, 0.04, mirrored(1.5, 1), 1e-12)
	brewster := math.Atan(1 / 1.5) // from inside
	s := math.Sin(math.Pi/2 - 2*brewster)
	assert.InDelta(t, s*s/2, mirrored(1.5, math.Cos(brewster)), 1e-12)
	assert.Equal(t, 1.0, mirrored(1.5, 0.5))
}

// Radau's nodes for n = 3: -1, (1 ∓ √6)/5 with weights 2/9, (16 ± √6)/18
// (Abramowitz and Stegun 1964, 25.4.31), mirrored here.
func TestRadau(t *testing.T) {
	x, w := make([]float64, 3), make([]float64, 3)
	radau(x, w, -1, 1)
	r := math.Sqrt(6)
	assert.InDeltaSlice(t, []float64{-(1 + r) / 5, (r - 1) / 5, 1}, x, 1e-14)
	assert.InDeltaSlice(t, []float64{(16 - r) / 18, (16 + r) / 18, 2.0 / 9}, w, 1e-14)
}

func TestMoreDirectionsConverge(t *testing.T) {
	for _, l := range []Layer{wax, {10, 0.004, 2.7}, {10, 3, 2.7}, {10, 0.2, 0.1}} {
		exact := NewMedium(1.44, 0.6, 48).Film(l).Factor(0.89)
		assert.InDelta(t, exact, NewMedium(1.44, 0.6, 10).Film(l).Factor(0.89), 2e-4, "%+v", l)
		assert.InDelta(t, exact, NewMedium(1.44, 0.6, 16).Film(l).Factor(0.89), 1e-5, "%+v", l)
	}
}

func TestHalvesAreFilmsOfTheirOwn(t *testing.T) {
	m := NewMedium(1.44, 0.6, 10)
	for i, f := range m.Films(wax, 12) {
		l := wax
		l.ThicknessMM /= math.Pow(2, float64(i))
		assert.InDelta(t, m.Film(l).Factor(0.89), f.Factor(0.89), 1e-6, "half %d", i)
	}
}

func TestThickLayerIsEndless(t *testing.T) {
	m := NewMedium(1.44, 0.6, 10)
	l := wax
	l.ThicknessMM = 100
	for _, card := range []float64{0, 1} {
		assert.InDelta(t, m.Endless(10, 0.2).Factor(card), m.Film(l).Factor(card), 1e-6)
	}
}

func TestMisuse(t *testing.T) {
	m := NewMedium(1.44, 0.6, 10)
	assert.Panics(t, func() { NewMedium(0.9, 0, 10) })
	assert.Panics(t, func() { NewMedium(1.4, 1, 10) })
	assert.Panics(t, func() { NewMedium(1.4, 0, 9) })
	assert.Panics(t, func() { m.Film(Layer{ThicknessMM: -1}) })
	assert.Panics(t, func() { m.Film(Layer{ThicknessMM: math.Inf(1)}) })
	assert.Panics(t, func() { m.Film(Layer{AbsorptionPerMM: math.NaN()}) })
	assert.Panics(t, func() { m.Endless(0, 1) })
}

func BenchmarkFilm(b *testing.B) {
	for _, directions := range []int{8, 10, 12, 16} {
		m := NewMedium(1.44, 0.6, directions)
		b.Run(fmt.Sprint(directions), func(b *testing.B) {
			for b.Loop() {
				m.Film(wax)
			}
		})
	}
}

func BenchmarkEndless(b *testing.B) {
	m := NewMedium(1.44, 0.6, 10)
	for b.Loop() {
		m.Endless(10, 0.2)
	}
}
