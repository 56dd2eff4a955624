package plane

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The moments of an ellipse with half axes a, b along the axes are a²/4, b²/4.
func TestEllipseThrough(t *testing.T) {
	var outline []Point
	for k := range 200 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 200)
		outline = append(outline, Point{50 + 12*cos, 40 + 7*sin})
	}
	e, ok := EllipseThrough(outline)
	require.True(t, ok)
	assert.InDelta(t, 50, e.Centre.X, 1e-9)
	assert.InDelta(t, 40, e.Centre.Y, 1e-9)
	assert.InDelta(t, 36, e.SXX, 0.05)
	assert.InDelta(t, 12.25, e.SYY, 0.02)
	assert.InDelta(t, 0, e.SXY, 1e-9)
}
