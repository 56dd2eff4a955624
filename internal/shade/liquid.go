package shade

import (
	"sort"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// LiquidDrop is a drop of a batch, read on its card before it sets.
type LiquidDrop struct {
	Colour spectrum.Measured
	Card   spectrum.Lab
	// Recipe is what went into the batch by plan. When it is not known, Dyes
	// name what is in it, one to three dyes.
	Recipe wax.Recipe
	Dyes   []string
}

// Errors of a log dose before a drop of the batch is seen: of a recipe that was
// followed (common practice, no source), and of one read off the drop alone.
const (
	followedSpread = 0.1
	unknownSpread  = 2.0
)

// FromLiquid tells the shade that a batch will have once set from a drop of it
// that is still liquid. The drop corrects both the doses and what is believed of
// the dyes; the interval counts what stays open of either.
//
// It returns the shade with the doses found, and the dE00 that the drop stays
// away from the colour these doses have: when that is large, something else is
// in the wax, or the drop was read wrongly. A model that has seen no liquid drop
// gives calibrate.ErrNoLiquid.
func FromLiquid(m *calibrate.Model, drop LiquidDrop, view calibrate.View) (Shade, float64, error) {
	liquid := calibrate.View{Liquid: true, Card: drop.Card}
	drip := calibrate.Drip{Recipe: drop.Recipe, DoseSpread: followedSpread, View: liquid, Colour: drop.Colour}
	if drop.Recipe == nil && len(drop.Dyes) > 0 {
		var err error
		if drip.Recipe, _, err = DosesOf(m, drop.Dyes, drop.Colour.Lab, liquid); err != nil {
			return Shade{}, 0, err
		}
		drip.DoseSpread = unknownSpread
	}
	pot, err := m.Sight(drip)
	if err != nil {
		return Shade{}, 0, err
	}
	p, err := pot.Predict(view)
	if err != nil {
		return Shade{}, 0, err
	}
	return shadeOf(m, pot.Recipe, p), pot.ExplainedDE00, nil
}

// Verdict says whether a shade keeps a promise.
type Verdict string

// The verdicts: at least 95 chances in 100 that it does, at most 5, or neither.
const (
	Keeps  Verdict = "within tolerance"
	Breaks Verdict = "out of tolerance"
	Unsure Verdict = "too close to tell"
)

// Promise compares a shade with the colour promised.
type Promise struct {
	// MissDE00 is the distance from the promised colour, and Chance, 0..1, that
	// the wax lies within the tolerance of it.
	MissDE00, Chance float64
	Verdict          Verdict
}

// Keeping tells whether a shade lies within a tolerance, in dE00, of a colour.
func (s Shade) Keeping(promised spectrum.Lab, toleranceDE00 float64) Promise {
	distances := distances(s.Lab, s.Cov, promised)
	p := Promise{
		MissDE00: spectrum.DE00(s.Lab, promised),
		Chance:   float64(sort.SearchFloat64s(distances, toleranceDE00)) / draws,
		Verdict:  Unsure,
	}
	switch {
	case p.Chance >= 0.95:
		p.Verdict = Keeps
	case p.Chance <= 0.05:
		p.Verdict = Breaks
	}
	return p
}
