package rank

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"
)

// The factor is that of the normal distribution as gonum has it.
func TestSigmaIsThatOfTheNormalDistribution(t *testing.T) {
	assert.InDelta(t, 1/distuv.UnitNormal.Quantile(0.75), madToSigma, 1e-12)
	rng := rand.New(rand.NewPCG(5, 11))
	values := make([]float64, 200_001)
	for i := range values {
		values[i] = math.Abs(3 * rng.NormFloat64())
	}
	assert.InDelta(t, 3, Sigma(values), 0.03)
}

func TestSigmaBearsWildValues(t *testing.T) {
	assert.InDelta(t, madToSigma, Sigma([]float64{1, 0.5, 1.5, 1e6, 0, 1, 2}), 1e-12)
	assert.True(t, math.IsNaN(Sigma(nil)))
}
