package shade

import (
	"cmp"
	"math"
	"slices"
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
// followed, of a dye that was forgotten in part, doubled or exchanged (common
// practice, no source), and of a dose read off the drop alone.
const (
	followedSpread = 0.1
	strayedSpread  = 1.0
	unknownSpread  = 2.0
)

// The chances, before a drop is seen, that one dye of a plan strayed, and that all
// did (common practice, no source).
const oneStrays, allStray = 0.08, 0.02

// PotShade is the shade that a batch will have once set, as a liquid drop tells.
type PotShade struct {
	// Shade is of the doses found; its interval counts what stays open of them.
	Shade
	// Followed is the chance, 0..1, that the doses are those of the plan but for
	// usual errors of weighing; 0 where there was none.
	Followed float64
	// ExplainedDE00 is how far the drop stays from the colour of the likelier
	// doses: when that is large, something else is in the wax, or the drop was
	// read wrongly.
	ExplainedDE00 float64
}

// FromLiquid tells the shade that a batch will have once set from a drop of it
// that is still liquid. The drop corrects both the doses and what is believed of
// the dyes.
//
// A plan is believed as far as the drop bears it out: the log doses before the
// drop are a mixture of Gaussians about the plan, narrow where it was followed and
// wide for one dye, or all, where it was not, and the evidence of the drop weighs
// them (a contaminated normal prior: Berger and Berliner 1986, Ann. Statist.
// 14:461). A model that has seen no liquid drop gives calibrate.ErrNoLiquid.
func FromLiquid(m *calibrate.Model, drop LiquidDrop, view calibrate.View) (PotShade, error) {
	liquid := calibrate.View{Liquid: true, Card: drop.Card}
	if drop.Recipe == nil && len(drop.Dyes) > 0 {
		recipe, _, err := DosesOf(m, drop.Dyes, drop.Colour.Lab, liquid)
		if err != nil {
			return PotShade{}, err
		}
		drip := calibrate.Drip{Recipe: recipe, DoseSpread: unknownSpread, View: liquid, Colour: drop.Colour}
		read, err := caseOf(m, drip, 1, view)
		if err != nil {
			return PotShade{}, err
		}
		return PotShade{shadeOf(m, read.pot.Recipe, view, read.prediction), 0, read.pot.ExplainedDE00}, nil
	}
	drip := calibrate.Drip{Recipe: drop.Recipe, DoseSpread: followedSpread, View: liquid, Colour: drop.Colour, StrayedSpread: strayedSpread}
	followed, err := caseOf(m, drip, 1-oneStrays-allStray, view)
	if err != nil {
		return PotShade{}, err
	}
	cases := []potCase{followed}
	var all []int
	for i := range drop.Recipe {
		all = append(all, i)
	}
	strays := [][]int{all}
	for _, i := range all {
		strays = append(strays, []int{i})
	}
	for n, strayed := range strays {
		chance := allStray
		if n > 0 {
			chance = oneStrays / float64(len(all))
		}
		drip.Strayed = strayed
		c, err := caseOf(m, drip, chance, view)
		if err != nil {
			return PotShade{}, err
		}
		cases = append(cases, c)
	}
	return weighed(m, cases, view), nil
}

// potCase is what a drop tells if the plan was followed, or strayed from in one
// way.
type potCase struct {
	pot        *calibrate.Pot
	prediction calibrate.Prediction
	// logChance is that of the case, up to a constant of all cases.
	logChance float64
}

func caseOf(m *calibrate.Model, drip calibrate.Drip, chance float64, view calibrate.View) (potCase, error) {
	pot, err := m.Sight(drip)
	if err != nil {
		return potCase{}, err
	}
	p, err := pot.Predict(view)
	return potCase{pot, p, math.Log(chance) + pot.LogEvidence}, err
}

// weighed puts the cases together, the first of which followed the plan: the mean
// and the covariance of their mixture, and the means of their log doses.
func weighed(m *calibrate.Model, cases []potCase, view calibrate.View) PotShade {
	likeliest := slices.MaxFunc(cases, func(a, b potCase) int { return cmp.Compare(a.logChance, b.logChance) })
	chances, sum := make([]float64, len(cases)), 0.0
	for i, c := range cases {
		chances[i] = math.Exp(c.logChance - likeliest.logChance)
		sum += chances[i]
	}
	var p calibrate.Prediction
	recipe := slices.Clone(likeliest.pot.Recipe)
	for d := range recipe {
		recipe[d].DoseGPerKg = 1
	}
	for i, c := range cases {
		chances[i] /= sum
		for band, r := range c.prediction.Reflectance {
			p.Reflectance[band] += chances[i] * r
		}
		for d, part := range c.pot.Recipe {
			recipe[d].DoseGPerKg *= math.Pow(part.DoseGPerKg, chances[i])
		}
	}
	p.Lab = spectrum.D65.Lab(p.Reflectance)
	mean := p.Lab.Vector()
	for i, c := range cases {
		v := c.prediction.Lab.Vector()
		for row := range mean {
			for col := range mean {
				p.Cov[row][col] += chances[i] * (c.prediction.Cov[row][col] + (v[row]-mean[row])*(v[col]-mean[col]))
			}
		}
	}
	return PotShade{shadeOf(m, recipe, view, p), chances[0], likeliest.pot.ExplainedDE00}
}

// OfPot predicts the shade of a batch whose doses are known only so far; the
// interval counts what stays open of them. The model tells what was tested.
func OfPot(m *calibrate.Model, pot *calibrate.Pot, view calibrate.View) (Shade, error) {
	p, err := pot.Predict(view)
	if err != nil {
		return Shade{}, err
	}
	return shadeOf(m, pot.Recipe, view, p), nil
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
	MissDE00 float64 `json:"miss_de00"`
	Chance   float64 `json:"chance"`
	Verdict  Verdict `json:"verdict"`
}

// Keeping tells whether a shade lies within a tolerance, in dE00, of a colour.
func (s Shade) Keeping(promised spectrum.Lab, toleranceDE00 float64) Promise {
	if !(toleranceDE00 >= 0) {
		panic("shade: a tolerance is 0 or more")
	}
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
