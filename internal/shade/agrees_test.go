package shade

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/spectrum"
)

// With independent errors of variance 1 in shade and reading, the distance that
// 99 of 100 stay within is √(2·11.345) (NIST/SEMATECH e-Handbook, table
// 1.3.6.7.4, three degrees of freedom).
func TestAgreesUpToTheNinetyNinePercentPoint(t *testing.T) {
	unit := [3][3]float64{{1}, {0, 1}, {0, 0, 1}}
	s := Shade{Lab: spectrum.Lab{L: 60, A: 10, B: 5}, Cov: unit}
	edge := math.Sqrt(2 * 11.345)
	for _, far := range []struct {
		share  float64
		agrees bool
	}{{0, true}, {0.99, true}, {1.01, false}} {
		d := far.share * edge / math.Sqrt(3)
		at := spectrum.Measured{Lab: spectrum.Lab{L: 60 + d, A: 10 - d, B: 5 + d}, Cov: unit}
		assert.Equal(t, far.agrees, s.Agrees(at), far.share)
	}
}
