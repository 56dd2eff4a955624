package wax

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A drop far smaller than the capillary length is a spherical cap: V = π h (3a² + h²)
// / 6 (Harris and Stocker 1998, "Handbook of Mathematics and Computational Science",
// section 4.8.4, the formula from memory). One far larger lies flat.
func TestThicknessOfCapAndOfFlatDrop(t *testing.T) {
	soy := Wax{DensityGPerML: 0.9}
	const a, h = 0.2, 0.01 // mm
	cap := math.Pi * h * (3*a*a + h*h) / 6
	assert.InEpsilon(t, h, soy.DropThicknessMM(0.9e-3*cap, 2*a), 0.005)

	flat := math.Pi * 80 * 80 * 2.0 // mm³
	assert.InEpsilon(t, 2, soy.DropThicknessMM(0.9e-3*flat, 2*80), 0.05)
}

// e^-5 I₀(5) = 0.1835408126 and e^-5 I₁(5) = 0.1639722669 (Abramowitz and Stegun
// 1964, table 9.8, from memory).
func TestMiddleOverMeanByBesselFunctions(t *testing.T) {
	i0, i1 := 0.1835408126*math.Exp(5), 0.1639722669*math.Exp(5)
	assert.InEpsilon(t, (i0-1)/(i0-2*i1/5), middleOverMean(5), 1e-8)
	assert.InDelta(t, 2, middleOverMean(0), 1e-12)
	assert.InDelta(t, 2, middleOverMean(1e-3), 1e-6)
	for x := 0.5; x < 120; x += 0.5 {
		assert.LessOrEqual(t, middleOverMean(x), middleOverMean(x-0.5), "a wider drop lies flatter")
	}
}

func TestThicknessIsNotMadeUp(t *testing.T) {
	soy := Wax{DensityGPerML: 0.9}
	thin, thick := soy.DropThicknessMM(0.2, 16), soy.DropThicknessMM(0.4, 16)
	assert.InDelta(t, 2*thin, thick, 1e-12, "twice the wax on the same ground")
	for _, v := range []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		assert.Zero(t, soy.DropThicknessMM(0.2, v))
		assert.Zero(t, soy.DropThicknessMM(v, 16))
		assert.Zero(t, Wax{DensityGPerML: v}.DropThicknessMM(0.2, 16))
	}
	assert.Zero(t, soy.DropThicknessMM(0.2, 5e-324))
}
