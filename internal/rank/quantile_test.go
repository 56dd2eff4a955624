package rank

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A quantile is the value at its place among the sorted ones, which is how it is
// defined (nearest rank); values drawn with many ties are the hard case.
func TestQuantileIsThatOfTheSorted(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	for n := 1; n < 200; n++ {
		values := make([]float64, n)
		for i := range values {
			values[i] = float64(rng.IntN(1 + n/2))
		}
		sorted := slices.Sorted(slices.Values(values))
		for _, q := range []float64{0, 0.02, 0.5, 0.8, 1} {
			want := sorted[int(math.Round(q*float64(n-1)))]
			assert.Equal(t, want, Quantile(slices.Clone(values), q), "%g of %d", q, n)
		}
	}
	assert.Equal(t, 3.0, Median([]float64{9, 1, 3}))
	assert.True(t, math.IsNaN(Median(nil)))
}
