package optics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/optics"
)

// Without dye the light that the surface returns is Saunderson's k2, so that
// the layer is Surface.Outside with the two directed passages of 45°/0° in
// place of its normal and its diffuse one.
func TestUndyedLiquidIsSaunderson(t *testing.T) {
	for _, n := range []float64{1.33, 1.44, 1.53} {
		s, layer := optics.SurfaceOf(n), optics.LiquidLayerOf(n)
		in := math.Asin(math.Sin(math.Pi/4) / n)
		directed := (1 - fromWithin(n, in)) * (1 - s.K1) / (n * n) // f is the same from either side
		for _, card := range []float64{0, 0.02, 0.5, 0.9, 1} {
			want := directed / ((1 - s.K1) * (1 - s.K2)) * s.Outside(card)
			assert.InDelta(t, want, layer.Reflectance(0, card), 1e-9, "n %g card %g", n, card)
		}
	}
}

// Williams and Clapper 1953: for gelatin, n = 1.53, the direct way is 2.13
// layer thicknesses (from memory). A dense layer sends back only direct light,
// so each unit of depth darkens by exp(-2.13).
func TestDenseLiquidFollowsTheDirectWay(t *testing.T) {
	layer := optics.LiquidLayerOf(1.53)
	ratio := layer.Reflectance(12, 0.9) / layer.Reflectance(11, 0.9)
	assert.InDelta(t, 2.13, -math.Log(ratio), 0.005)
	assert.Less(t, layer.Reflectance(20, 1), 1e-18)
	assert.Zero(t, layer.Reflectance(math.Inf(1), 1))
}

// Without a surface only Beer and Lambert are left: in at 45°, out straight.
func TestLiquidWithoutSurfaceIsBeerLambert(t *testing.T) {
	layer := optics.LiquidLayerOf(1)
	for _, depth := range []float64{0, 0.1, 2} {
		assert.InEpsilon(t, 0.8*math.Exp(-depth*(1+math.Sqrt2)), layer.Reflectance(depth, 0.8), 1e-12)
	}
}

// The same light followed ray by ray: into the liquid at 45°, off the card in
// random diffuse directions, thrown back by Fresnel's law, and at each touch of
// the card its share that leaves straight up is counted.
func TestLiquidAgainstMonteCarlo(t *testing.T) {
	const (
		n    = 1.44
		rays = 200_000
	)
	in := math.Asin(math.Sin(math.Pi/4) / n)
	normal := fromWithin(n, 0)
	rng := rand.New(rand.NewPCG(4, 1))
	for _, c := range []struct{ depth, card float64 }{{0, 0.9}, {0.05, 0.9}, {0.3, 0.9}, {0.3, 0.5}, {1.5, 1}} {
		seen := 0.0
		for range rays {
			weight := (1 - fromWithin(n, in)) * math.Exp(-c.depth/math.Cos(in))
			for weight > 1e-6 {
				weight *= c.card
				seen += weight * math.Exp(-c.depth) * (1 - normal) / (n * n)
				theta := math.Asin(math.Sqrt(rng.Float64())) // Lambert's cosine law
				weight *= fromWithin(n, theta) * math.Exp(-2*c.depth/math.Cos(theta))
			}
		}
		assert.InEpsilon(t, seen/rays, optics.LiquidLayerOf(n).Reflectance(c.depth, c.card), 4e-3, "depth %g card %g", c.depth, c.card)
	}
}

// The integral of returned light against a fine midpoint rule.
func TestLiquidAgainstDirectIntegration(t *testing.T) {
	const n, card, steps = 1.44, 0.92, 400_000
	in := math.Asin(math.Sin(math.Pi/4) / n)
	passage := (1 - fromWithin(n, in)) * (1 - fromWithin(n, 0)) / (n * n)
	for _, depth := range []float64{0, 0.01, 0.1, 0.7, 3} {
		back := 0.0
		for i := range steps {
			theta := (float64(i) + 0.5) / steps * math.Pi / 2
			back += fromWithin(n, theta) * math.Exp(-2*depth/math.Cos(theta)) * math.Sin(2*theta)
		}
		back *= math.Pi / 2 / steps
		want := passage * card * math.Exp(-depth*(1+1/math.Cos(in))) / (1 - card*back)
		assert.InEpsilon(t, want, optics.LiquidLayerOf(n).Reflectance(depth, card), 1e-7, "depth %g", depth)
	}
}

func TestLiquidSlopeAndMonotony(t *testing.T) {
	layer := optics.LiquidLayerOf(1.44)
	rng := rand.New(rand.NewPCG(4, 2))
	for range 300 {
		depth, card := 0.01+4*rng.Float64(), 0.05+0.95*rng.Float64()
		r, slope := layer.ReflectanceWithSlope(depth, card)
		want := central(func(x float64) float64 { return layer.Reflectance(x, card) }, depth, 1e-4*depth)
		assert.InEpsilon(t, want, slope, 1e-6, "depth %g card %g", depth, card)
		assert.Less(t, layer.Reflectance(depth*1.01, card), r, "more dye is darker")
	}
	_, atZero := layer.ReflectanceWithSlope(0, 1)
	assert.False(t, math.IsInf(atZero, 0))
	assert.InEpsilon(t, (layer.Reflectance(1e-6, 1)-layer.Reflectance(0, 1))/1e-6, atZero, 1e-3)
}

func TestOpticalDepthRoundTrip(t *testing.T) {
	layer := optics.LiquidLayerOf(1.44)
	rng := rand.New(rand.NewPCG(4, 3))
	for range 500 {
		depth, card := math.Pow(10, -4+5*rng.Float64()), 0.05+0.95*rng.Float64()
		got, err := layer.OpticalDepth(layer.Reflectance(depth, card), card)
		require.NoError(t, err)
		assert.InEpsilon(t, depth, got, 1e-9)
	}
	got, err := layer.OpticalDepth(layer.Reflectance(0, 0.9), 0.9)
	require.NoError(t, err)
	assert.Zero(t, got)

	for name, c := range map[string][2]float64{
		"lighter than undyed": {0.95, 0.9}, "black": {0, 0.9}, "no card": {0.3, 0},
		"card too light": {0.3, 1.1}, "not a number": {math.NaN(), 0.9},
	} {
		_, err := layer.OpticalDepth(c[0], c[1])
		assert.Error(t, err, name)
	}
}

// Trade fact (common practice, no source): liquid drops look darker than set
// ones. The same absorption K, here 0.1 mm⁻¹, in 2 mm of clear liquid and in
// 2 mm of set wax that scatters with S = 5 mm⁻¹.
func TestLiquidIsDarkerThanSet(t *testing.T) {
	surface := optics.SurfaceOf(1.44)
	set := surface.Outside(optics.Film(0.1/5, 5*2, 0.9))
	liquid := optics.LiquidLayerOf(1.44).Reflectance(0.1*2, 0.9)
	assert.Less(t, liquid, set)
}

func BenchmarkLiquidReflectance(b *testing.B) {
	layer := optics.LiquidLayerOf(1.44)
	for b.Loop() {
		layer.Reflectance(0.3, 0.9)
	}
}
