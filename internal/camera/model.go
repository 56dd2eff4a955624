package camera

import (
	"math"
)

// model is what may be wrong with a camera's colours beside their white.
type model struct {
	name  string
	tone  bool
	roots bool // the mixing has root terms
	mixes bool
}

var models = []model{
	{name: "none"},
	{name: "tone curve", tone: true},
	{name: "tone curve and 3 x 3", tone: true, mixes: true},
	{name: "tone curve and root polynomial", tone: true, mixes: true, roots: true},
}

// terms fills ψ(x).
func (m model) terms(x [channels]float64, out []float64) []float64 {
	out = append(out[:0], x[:]...)
	if m.roots {
		root := func(a, b float64) float64 { return math.Sqrt(max(0, a) * max(0, b)) }
		out = append(out, root(x[0], x[1]), root(x[1], x[2]), root(x[0], x[2]))
	}
	return out
}

// size returns the number of terms, and of values fitted on a card.
func (m model) size() (terms, free int) {
	if m.tone {
		free = 4
	}
	if !m.mixes {
		return 0, free
	}
	terms = 3
	if m.roots {
		terms = 6
	}
	return terms, free + channels*(terms-1)
}
