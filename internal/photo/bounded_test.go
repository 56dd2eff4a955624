package photo

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Abramowitz and Stegun 1964, table 26.1: Φ(1) = 0.84134 47461, Φ(2) = 0.97724 98681;
// table 26.2: -log10 Q(10) = 23.11805.
func TestLogWithin(t *testing.T) {
	value, _, _ := logWithin(1, 2)
	assert.InDelta(t, math.Log(0.9772498681-0.8413447461), value, 1e-9)
	value, _, _ = logWithin(-2, -1)
	assert.InDelta(t, math.Log(0.9772498681-0.8413447461), value, 1e-9)
	value, _, _ = logWithin(10, 40)
	assert.InDelta(t, -23.11805*math.Ln10, value, 0.02)
	const h = 1e-4
	for _, a := range []float64{-9, -3, -0.5, 0, 2, 5, 8} {
		at := func(shift float64) float64 { v, _, _ := logWithin(a-shift, a+1.5-shift); return v }
		_, slope, curve := logWithin(a, a+1.5)
		assert.InDelta(t, (at(h)-at(-h))/(2*h), slope, 0.03)
		assert.InDelta(t, -(at(h)-2*at(0)+at(-h))/(h*h), curve, 0.06)
	}
}

// shaded gives the chroma of a drop under changing light, from a tenth below to a
// tenth above what is looked for, as it is seen after rounding to a step.
func shaded(r *rand.Rand, chroma, change, step float64) []bounded {
	seen := make([]bounded, 24)
	for i := range seen {
		light := 1 + change*(float64(i)/12-1)
		kept := step * math.Round((chroma*light+0.05*r.NormFloat64())/step)
		seen[i] = bounded{low: kept - step/2, high: kept + step/2, terms: []float64{light}}
	}
	return seen
}

// leastSquares is the usual way: through the middles of the steps, as if rounding were
// noise.
func leastSquares(seen []bounded) float64 {
	var sum, weight float64
	for _, o := range seen {
		sum += o.terms[0] * (o.low + o.high) / 2
		weight += o.terms[0] * o.terms[0]
	}
	return sum / weight
}

// Numbers that cross a bound or two are found far nearer than the step they were rounded
// to, whose variance is step²/12 (Widrow 1956, IRE Trans. Circuit Theory 3(4)), and
// the variance says how well.
func TestFitBounded(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const step, tries = 1.75, 400
	var off, said, usual float64
	for range tries {
		chroma := 10 + 20*r.Float64()
		seen := shaded(r, chroma, 0.1, step)
		middle := leastSquares(seen)
		for i := range seen {
			seen[i].guess = middle * seen[i].terms[0]
		}
		theta, covariance := fitBounded(seen, 0.1, []float64{step})
		off += math.Pow(middle+theta[0]-chroma, 2) / tries
		usual += math.Pow(middle-chroma, 2) / tries
		said += covariance.At(0, 0) / tries
	}
	t.Logf("off by %.3f, by its own word %.3f, least squares by %.3f", math.Sqrt(off), math.Sqrt(said), math.Sqrt(usual))
	assert.Less(t, math.Sqrt(off), 0.2*step/math.Sqrt(12))
	assert.Less(t, math.Sqrt(off), 0.75*math.Sqrt(usual))
	assert.Less(t, off, said, "no worse than it says")
	assert.Greater(t, off, said/10, "nor much better")
}

// All within one step say no more than that step: the doubt stays large, and what was
// thought before holds.
func TestFitBoundedWithinOneStep(t *testing.T) {
	seen := shaded(rand.New(rand.NewPCG(1, 2)), 3.6, 0, 1.75)
	for i := range seen {
		seen[i].guess = 3.5
	}
	theta, covariance := fitBounded(seen, 0.1, []float64{1})
	assert.InDelta(t, 0, theta[0], 0.05)
	assert.Greater(t, math.Sqrt(covariance.At(0, 0)), 0.5)
}
