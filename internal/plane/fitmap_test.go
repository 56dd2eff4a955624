package plane

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// made is a map with perspective, turned and far from the origin.
var made = Homography{3.1, -0.8, 640, 0.9, 2.7, 480, 0.0009, -0.0004, 1}

func madePairs(n int, noise float64) []Pair {
	rng := rand.New(rand.NewPCG(4, 4))
	var pairs []Pair
	for range n {
		p := Point{200*rng.Float64() - 100, 140*rng.Float64() - 70}
		q := made.Apply(p).Plus(Point{noise * rng.NormFloat64(), noise * rng.NormFloat64()})
		pairs = append(pairs, Pair{p, q})
	}
	return pairs
}

func farthestOffMade(m Homography) float64 {
	worst := 0.0
	for _, p := range []Point{{-100, -70}, {100, -70}, {100, 70}, {-100, 70}, {}} {
		worst = max(worst, m.Apply(p).Minus(made.Apply(p)).Length())
	}
	return worst
}

// The map is known; the fit must find it exactly from exact pairs, four or more,
// and to about noise/√n from noisy ones.
func TestFitMap(t *testing.T) {
	for _, n := range []int{4, 5, 20} {
		m, kept, ok := FitMap(madePairs(n, 0))
		require.True(t, ok)
		assert.Len(t, kept, n)
		assert.Less(t, farthestOffMade(m), 1e-6)
	}
	m, _, ok := FitMap(madePairs(40, 0.2))
	require.True(t, ok)
	assert.Less(t, farthestOffMade(m), 0.5)
}

func TestFitMapLeavesOutliersOut(t *testing.T) {
	pairs := madePairs(20, 0.05)
	for i := range 5 {
		pairs[4*i].To = pairs[4*i].To.Plus(Point{float64(3 + 2*i), -4})
	}
	m, kept, ok := FitMap(pairs)
	require.True(t, ok)
	assert.Len(t, kept, 15)
	assert.Less(t, farthestOffMade(m), 0.3)
}

func TestFitMapThatIsNotSettled(t *testing.T) {
	_, _, ok := FitMap(madePairs(3, 0))
	assert.False(t, ok, "three pairs")
	var line []Pair
	for i := range 6 {
		p := Point{float64(i), 2 * float64(i)}
		line = append(line, Pair{p, made.Apply(p)})
	}
	_, _, ok = FitMap(line)
	assert.False(t, ok, "all in a line")
}

// Most pairs lie in a line, as the patches of a strip do; the few beside it must not be
// left out for a map that fits the line alone. Three pairs are wrong.
func TestFitMapOfPairsMostlyInALine(t *testing.T) {
	places := []Point{{93, 57}, {-93, 57}, {93, -57}, {60, 55}, {48, 55}, {72, 55}}
	for i := range 10 {
		places = append(places, Point{float64(12*i - 60), -47})
	}
	near := 0
	for seed := range uint64(100) {
		rng := rand.New(rand.NewPCG(seed, 1))
		var pairs []Pair
		for _, p := range places {
			q := made.Apply(p).Plus(Point{0.2 * rng.NormFloat64(), 0.2 * rng.NormFloat64()})
			pairs = append(pairs, Pair{p, q})
		}
		for _, i := range []int{3, 7, 11} {
			pairs[i].To = pairs[i].To.Plus(Point{6, -4})
		}
		m, _, ok := FitMap(pairs)
		require.True(t, ok, "seed %d", seed)
		if farthestOffMade(m) < 2 {
			near++
		}
	}
	assert.GreaterOrEqual(t, near, 90, "of 100, within ten times the noise where nothing was found")
}
