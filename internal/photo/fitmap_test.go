package photo

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// made is a map with perspective, turned and far from the origin.
var made = homography{3.1, -0.8, 640, 0.9, 2.7, 480, 0.0009, -0.0004, 1}

func madePairs(n int, noise float64) []pair {
	rng := rand.New(rand.NewPCG(4, 4))
	var pairs []pair
	for range n {
		p := point{200*rng.Float64() - 100, 140*rng.Float64() - 70}
		q := made.apply(p).plus(point{noise * rng.NormFloat64(), noise * rng.NormFloat64()})
		pairs = append(pairs, pair{p, q})
	}
	return pairs
}

func farthestOffMade(m homography) float64 {
	worst := 0.0
	for _, p := range []point{{-100, -70}, {100, -70}, {100, 70}, {-100, 70}, {}} {
		worst = max(worst, m.apply(p).minus(made.apply(p)).length())
	}
	return worst
}

// The map is known; the fit must find it exactly from exact pairs, four or more,
// and to about noise/√n from noisy ones.
func TestFitMap(t *testing.T) {
	for _, n := range []int{4, 5, 20} {
		m, kept, ok := fitMap(madePairs(n, 0))
		require.True(t, ok)
		assert.Len(t, kept, n)
		assert.Less(t, farthestOffMade(m), 1e-6)
	}
	m, _, ok := fitMap(madePairs(40, 0.2))
	require.True(t, ok)
	assert.Less(t, farthestOffMade(m), 0.5)
}

func TestFitMapLeavesOutliersOut(t *testing.T) {
	pairs := madePairs(20, 0.05)
	for i := range 5 {
		pairs[4*i].to = pairs[4*i].to.plus(point{float64(3 + 2*i), -4})
	}
	m, kept, ok := fitMap(pairs)
	require.True(t, ok)
	assert.Len(t, kept, 15)
	assert.Less(t, farthestOffMade(m), 0.3)
}

func TestFitMapThatIsNotSettled(t *testing.T) {
	_, _, ok := fitMap(madePairs(3, 0))
	assert.False(t, ok, "three pairs")
	var line []pair
	for i := range 6 {
		p := point{float64(i), 2 * float64(i)}
		line = append(line, pair{p, made.apply(p)})
	}
	_, _, ok = fitMap(line)
	assert.False(t, ok, "all in a line")
}

func TestJacobianIsTheDerivative(t *testing.T) {
	const h = 1e-5
	p := point{30, -20}
	j := made.jacobian(p)
	dx := made.apply(p.plus(point{h, 0})).minus(made.apply(p)).times(1 / h)
	dy := made.apply(p.plus(point{0, h})).minus(made.apply(p)).times(1 / h)
	assert.InDeltaSlice(t, []float64{dx.x, dy.x, dx.y, dy.y}, j[:], 1e-3)
}

// A circle is known; an arc of a third of it with noise gives it back.
func TestCircleThrough(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	var arc []point
	for k := range 60 {
		sin, cos := math.Sincos(math.Pi + 2*math.Pi/3*float64(k)/59)
		arc = append(arc, point{3 + 9*cos, -5 + 9*sin}.plus(point{0.03 * rng.NormFloat64(), 0.03 * rng.NormFloat64()}))
	}
	arc[7] = point{3, -5} // a speck
	centre, radius, ok := circleThrough(arc)
	require.True(t, ok)
	assert.InDelta(t, 3, centre.x, 0.15)
	assert.InDelta(t, -5, centre.y, 0.15)
	assert.InDelta(t, 9, radius, 0.15)
	_, _, ok = circleThrough(arc[:5])
	assert.False(t, ok)
}

// The moments of an ellipse with half axes a, b along the axes are a²/4, b²/4.
func TestEllipseThrough(t *testing.T) {
	var outline []point
	for k := range 200 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 200)
		outline = append(outline, point{50 + 12*cos, 40 + 7*sin})
	}
	e, ok := ellipseThrough(outline)
	require.True(t, ok)
	assert.InDelta(t, 50, e.centre.x, 1e-9)
	assert.InDelta(t, 40, e.centre.y, 1e-9)
	assert.InDelta(t, 36, e.sxx, 0.05)
	assert.InDelta(t, 12.25, e.syy, 0.02)
	assert.InDelta(t, 0, e.sxy, 1e-9)
}
