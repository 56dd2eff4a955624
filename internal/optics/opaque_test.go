package optics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/diff/fd"

	"setshade/internal/optics"
)

// Kubelka and Munk 1931: K/S = (1-R)²/2R, worked by hand.
func TestKubelkaMunkByHand(t *testing.T) {
	for _, c := range []struct{ r, ks float64 }{
		{1, 0},
		{0.9, 1.0 / 180}, // 0.01 / 1.8
		{0.5, 0.25},      // 0.25 / 1
		{0.25, 1.125},    // 0.5625 / 0.5
		{0.1, 4.05},      // 0.81 / 0.2
		{0.01, 49.005},   // 0.9801 / 0.02
	} {
		assert.InDelta(t, c.ks, optics.KSOfReflectance(c.r), 1e-12)
		assert.InDelta(t, c.r, optics.ReflectanceOfKS(c.ks), 1e-12)
	}
}

func TestOpaqueLimits(t *testing.T) {
	assert.Equal(t, 1.0, optics.ReflectanceOfKS(0))
	assert.True(t, math.IsInf(optics.KSOfReflectance(0), 1))
	assert.True(t, math.IsInf(optics.ReflectanceOfKSSlope(0), -1), "the white end is infinitely steep")
	// R∞ → 1 - sqrt(2 K/S) for weak absorption, 1 / (2 K/S) for strong.
	assert.InEpsilon(t, math.Sqrt(2e-12), 1-optics.ReflectanceOfKS(1e-12), 1e-5)
	assert.InEpsilon(t, 5e-7, optics.ReflectanceOfKS(1e6), 2e-6)
	assert.Zero(t, optics.ReflectanceOfKS(math.Inf(1)))
	assert.Positive(t, optics.ReflectanceOfKS(1e200))
}

func TestOpaqueRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 2000 {
		ks := math.Pow(10, -6+12*rng.Float64())
		r := optics.ReflectanceOfKS(ks)
		assert.InEpsilon(t, ks, optics.KSOfReflectance(r), 1e-9, "K/S %g", ks)
		assert.InEpsilon(t, r, optics.ReflectanceOfKS(optics.KSOfReflectance(r)), 1e-9)
	}
}

func TestOpaqueSlope(t *testing.T) {
	for _, ks := range []float64{1e-4, 0.01, 0.3, 2, 50, 1000} {
		assert.InEpsilon(t, central(optics.ReflectanceOfKS, ks, 1e-4*ks), optics.ReflectanceOfKSSlope(ks), 1e-6, "K/S %g", ks)
	}
}

// central is gonum's central difference of f at x.
func central(f func(float64) float64, x, step float64) float64 {
	return fd.Derivative(f, x, &fd.Settings{Formula: fd.Central, Step: step})
}
