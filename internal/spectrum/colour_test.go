package spectrum_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// ISO/CIE 11664-4, written as it stands there:
//
//	L* = 116 f(Y/Yn) - 16,  a* = 500 (f(X/Xn) - f(Y/Yn)),  b* = 200 (f(Y/Yn) - f(Z/Zn))
//	f(t) = t^(1/3) above (6/29)³, else (841/108) t + 4/29
func cielab(c, white spectrum.XYZ) spectrum.Lab {
	f := func(t float64) float64 {
		if t > math.Pow(6.0/29, 3) {
			return math.Cbrt(t)
		}
		return 841.0/108*t + 4.0/29
	}
	fx, fy, fz := f(c.X/white.X), f(c.Y/white.Y), f(c.Z/white.Z)
	return lab(116*fy-16, 500*(fx-fy), 200*(fy-fz))
}

func TestLabIsTheStandards(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for _, light := range everyLight {
		white := light.White()
		for range 500 {
			scale := math.Pow(10, -4*rng.Float64()) // half of them reach the linear part
			c := spectrum.XYZ{X: scale * rng.Float64(), Y: scale * rng.Float64(), Z: scale * rng.Float64()}
			want, got := cielab(c, white), c.Lab(white)
			assert.InDeltaSlice(t, vector(want), vector(got), 1e-9, "%v", c)
			back := got.XYZ(white)
			assert.InDeltaSlice(t, []float64{c.X, c.Y, c.Z}, []float64{back.X, back.Y, back.Z}, 1e-12)
		}
	}
}

func TestLabOfGreys(t *testing.T) {
	for _, light := range everyLight {
		assert.InDeltaSlice(t, []float64{100, 0, 0}, vector(light.Lab(spectrum.Flat(1))), 1e-9, light)
		assert.InDeltaSlice(t, []float64{0, 0, 0}, vector(light.Lab(spectrum.Flat(0))), 1e-9, light)
		// The 18 % grey of photographers: L* = 116 × 0.18^(1/3) - 16 = 49.496.
		assert.InDeltaSlice(t, []float64{49.496, 0, 0}, vector(light.Lab(spectrum.Flat(0.18))), 1e-3, light)
		// The linear part: L* = (29/3)³ Y below (6/29)³ = 0.008856.
		assert.InDelta(t, 903.2963*0.005, light.Lab(spectrum.Flat(0.005)).L, 1e-4, light)
	}
}

func TestLabAsPolarAndVector(t *testing.T) {
	c := lab(50, -3, 4)
	assert.InDelta(t, 5, c.Chroma(), 1e-12)
	assert.InDelta(t, 126.8699, c.HueDegrees(), 1e-4)
	assert.InDelta(t, 270, lab(50, 0, -1).HueDegrees(), 1e-12)
	assert.Equal(t, c, spectrum.LabOf(c.Vector()))
	assert.True(t, c.IsFinite())
	assert.False(t, lab(math.NaN(), 0, 0).IsFinite())
	assert.False(t, lab(0, math.Inf(1), 0).IsFinite())
	assert.False(t, lab(0, math.Inf(1), math.Inf(-1)).IsFinite())
}

// A parabola that has the colour asked for; a grey is flat.
func TestSmoothHasItsColour(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 2))
	for range 500 {
		c := lab(5+95*rng.Float64(), 20*rng.Float64()-10, 20*rng.Float64()-10)
		s := c.Smooth()
		assert.InDeltaSlice(t, vector(c), vector(spectrum.D65.Lab(s)), 1e-8)
		for i := 3; i < spectrum.Bands; i++ {
			third := s[i] - 3*s[i-1] + 3*s[i-2] - s[i-3]
			assert.InDelta(t, 0, third, 1e-12, "a parabola has no third difference")
		}
	}
	for _, v := range spectrum.D65.Lab(spectrum.Flat(0.87)).Smooth() {
		assert.InDelta(t, 0.87, v, 1e-9)
	}
}

func vector(c spectrum.Lab) []float64 { v := c.Vector(); return v[:] }

// Finite colours, far beyond all that can be seen, have finite relatives.
func TestFiniteColoursStayFinite(t *testing.T) {
	extremes := []float64{-1e6, -1000, -1, -1e-300, 0, 5e-324, 1e-12, 50, 100, 1000, 1e6}
	sound := func(values ...float64) {
		for _, v := range values {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%v", values)
		}
	}
	for _, l := range extremes {
		for _, a := range extremes {
			for _, b := range extremes {
				c := lab(l, a, b)
				xyz := c.XYZ(spectrum.D65.White())
				back := xyz.Adapt(spectrum.D65.White(), spectrum.D50.White()).Lab(spectrum.D50.White())
				sound(xyz.X, xyz.Y, xyz.Z, back.L, back.A, back.B, c.Chroma(), c.HueDegrees())
				red, green, blue := c.Linear()
				sound(red, green, blue)
				smooth := c.Smooth()
				sound(smooth[:]...)
				other := lab(b, l, a)
				pull := spectrum.Pull00(other, c)
				sound(append(pull[:], spectrum.DE00(c, other))...)
				for _, row := range c.Metric00() {
					sound(row[:]...)
				}
				require.Len(t, c.Hex(), 7)
			}
		}
	}
	assert.True(t, lab(math.MaxFloat64, math.MaxFloat64, 0).IsFinite())
	sound(spectrum.DE00(lab(1e40, -1e40, 1e40), lab(0, 0, 0)))
	assert.True(t, lab(1000, -1000, 0).IsPlausible())
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1001} {
		assert.False(t, lab(v, 0, 0).IsPlausible())
		assert.False(t, lab(0, v, 0).IsPlausible())
		assert.False(t, lab(0, 0, v).IsPlausible())
	}
	black, err := spectrum.LabOfHex("#000")
	require.NoError(t, err)
	assert.Zero(t, black.L)
}

// A covariance that is long and thin has a factor, one that cannot be has none.
func TestFactored(t *testing.T) {
	for _, cov := range [][3][3]float64{
		{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
		{{1e9, 1e9, 0}, {1e9, 1e9, 0}, {0, 0, 1e-9}},
	} {
		chol, ok := spectrum.Factored(cov)
		require.True(t, ok)
		var again mat.SymDense
		chol.ToSym(&again)
		assert.InEpsilon(t, cov[0][0], again.At(0, 0), 1e-9)
	}
	for _, cov := range [][3][3]float64{{}, {{1, 1, 0}, {1, 1, 0}, {}}, {{0.04, 0.003, -0.002}, {0.003, 0.09, 0.011}, {-0.002, 0.011, 0.16}}} {
		assert.True(t, spectrum.IsCovariance(cov), "%v", cov)
	}
	for _, cov := range [][3][3]float64{{{1, 0.5}, {0.4, 1}, {0, 0, 1}}, {{-1}}, {{1, 5}, {5, 1}, {0, 0, 1}}, {{math.NaN()}}, {{0}, {math.Inf(1)}}, {{1e100}}} {
		assert.False(t, spectrum.IsCovariance(cov), "%v", cov)
	}
	for _, cov := range [][3][3]float64{{}, {{-1}}, {{1, 5}, {5, 1}, {0, 0, 1}}, {{math.NaN()}}, {{math.Inf(1)}}, {{1e100}}} {
		_, ok := spectrum.Factored(cov)
		assert.False(t, ok, "%v", cov)
	}
}
