package leastsquares_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"setshade/internal/leastsquares"
)

// The dataset Misra1a of the NIST Statistical Reference Datasets (nonlinear regression,
// lower difficulty), y = b1 (1 - exp(-b2 x)), from its first start, with the certified
// values and standard deviations. Quoted from memory; the certified values come out of
// the data only if both are right.
func TestMisra1a(t *testing.T) {
	x := []float64{77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0}
	y := []float64{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78}
	fill := func(b []float64, into *leastsquares.Sum) {
		for i := range x {
			e := math.Exp(-b[1] * x[i])
			into.Add(b[0]*(1-e)-y[i], 1, []int{0, 1}, []float64{1 - e, b[0] * x[i] * e})
		}
	}
	m := leastsquares.Minimise([]float64{500, 0.0001}, 200, 1e-12, fill)
	require.True(t, m.Settled)
	assert.InEpsilon(t, 2.3894212918e2, m.X[0], 1e-4)
	assert.InEpsilon(t, 5.5015643181e-4, m.X[1], 1e-4)
	inverse, ok := m.Inverse()
	require.True(t, ok)
	variance := 2 * m.Cost / float64(len(x)-2)
	assert.InEpsilon(t, 2.7070075241, math.Sqrt(variance*inverse.At(0, 0)), 1e-3)
	assert.InEpsilon(t, 7.2668688436e-6, math.Sqrt(variance*inverse.At(1, 1)), 1e-3)
}

// One observation far off moves a mean by a tenth of the way in plain least squares, and
// hardly in Student's t.
func TestRobustRowsHold(t *testing.T) {
	at := func(robust bool) float64 {
		m := leastsquares.Minimise([]float64{0}, 100, 1e-12, func(x []float64, into *leastsquares.Sum) {
			for i := range 10 {
				want := 1.0
				if i == 0 {
					want = 100
				}
				if r := x[0] - want; robust {
					into.AddRobust([]float64{r}, 1, 4, []int{0}, mat.NewDense(1, 1, []float64{1}))
				} else {
					into.Add(r, 1, []int{0}, []float64{1})
				}
			}
		})
		return m.X[0]
	}
	assert.InDelta(t, 10.9, at(false), 1e-6)
	assert.InDelta(t, 1, at(true), 0.1)
}
