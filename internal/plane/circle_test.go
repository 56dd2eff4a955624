package plane

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A circle is known; an arc of a third of it with noise gives it back.
func TestCircleThrough(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	var arc []Point
	for k := range 60 {
		sin, cos := math.Sincos(math.Pi + 2*math.Pi/3*float64(k)/59)
		arc = append(arc, Point{3 + 9*cos, -5 + 9*sin}.Plus(Point{0.03 * rng.NormFloat64(), 0.03 * rng.NormFloat64()}))
	}
	arc[7] = Point{3, -5} // a speck
	centre, radius, ok := CircleThrough(arc)
	require.True(t, ok)
	assert.InDelta(t, 3, centre.X, 0.15)
	assert.InDelta(t, -5, centre.Y, 0.15)
	assert.InDelta(t, 9, radius, 0.15)
	_, _, ok = CircleThrough(arc[:5])
	assert.False(t, ok)
}
