package rescue

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// mostAdded is how many dyes an answer adds; together with the wax they fit the
// three numbers of a colour.
const mostAdded = 2

// Mend answers a request in exact grams. Dyes of the shelf that were not learned,
// or that are particles, are not tried. Doses of the batch outside those tested
// are answered and named in the shades' Untested.
func Mend(m *calibrate.Model, r Request) (Answer, error) {
	if err := r.validate(); err != nil {
		return Answer{}, err
	}
	from, err := shade.Of(m, r.Batch.Recipe, r.View)
	if err != nil {
		return Answer{}, err
	}
	q := &quest{model: m, Request: r, alone: map[string]point{}, floor: leastFactor}
	if err := q.prepare(); err != nil {
		return Answer{}, err
	}
	best := q.best()
	if r.Target.lighterPercent == 0 && best.de00 > r.ToleranceDE00 && best.Factor() < mostDilution {
		// Out of reach: then not at any price.
		q.floor = mostDilution
		best = q.best()
	}
	a := best.Answer
	a.From = from
	if a.Reached, err = shade.Of(m, a.After.Recipe, r.View); err != nil {
		return Answer{}, err
	}
	a.Wanted, a.MissDE00 = q.wanted, best.de00
	if a.MissDE00 > r.ToleranceDE00 {
		a.Limits = q.limits(a)
	}
	return a, nil
}

// quest is a request while it is answered.
type quest struct {
	Request
	model   *calibrate.Model
	palette *calibrate.Palette // nil when no dye is added
	shelf   []colour           // that may be added, in order of name
	wanted  spectrum.Lab
	alone   map[string]point // the nearest points of single dyes, by name
	floor   float64          // the smallest share of its dose that the batch may keep
}

// colour is a dye that may be added.
type colour struct {
	wax.Dye
	calibrate.Colourant
	mostG float64 // strength at its maximum dose
}

// found is an answer without its shades.
type found struct {
	Answer
	de00 float64
	set  []colour
	free bool // the dilution is
}

// prepare works out the wanted colour, and which dyes can be tried.
func (q *quest) prepare() error {
	q.wanted = q.Target.colour
	if q.Target.lighterPercent > 0 {
		q.Shelf = nil
		q.wanted = q.lab(q.Batch.Recipe.Scaled(1 - q.Target.lighterPercent/100))
		return nil
	}
	q.Shelf = slices.Clone(q.Shelf)
	slices.SortFunc(q.Shelf, func(a, b wax.Dye) int { return strings.Compare(a.Name, b.Name) })
	for _, p := range q.Batch.Recipe {
		if tested, _ := q.model.Range(p.Dye); tested.Scatters {
			return nil // absorption does not add: only dilution is searched
		}
	}
	if len(q.Shelf) == 0 {
		return nil
	}
	var err error
	if q.palette, err = q.model.Palette(q.View); err != nil {
		return err
	}
	for _, d := range q.Shelf {
		learned, ok := q.palette.Colourant(d.Name)
		if most := mostDose(q.model, d); ok && most > leastMaximum {
			q.shelf = append(q.shelf, colour{d, learned, learned.Strength(most)})
		}
	}
	if len(q.shelf) == 0 && len(q.Batch.Recipe) == 0 {
		return ErrNoDye
	}
	return nil
}

// leastMaximum is the maximum dose, in g/kg, of a dye that is worth adding.
const leastMaximum = 1e-9

// lab is the colour of a recipe that is known to have one.
func (q *quest) lab(recipe wax.Recipe) spectrum.Lab {
	lab, err := q.model.Lab(recipe, q.View)
	if err != nil {
		panic("rescue: the dyes were looked up before: " + err.Error())
	}
	return lab
}

// best is the preferred of the nearest shades of all sets of dyes.
func (q *quest) best() found {
	var all []found
	add := func(set []colour, free bool) {
		if f, ok := q.searched(set, free, q.aim); ok {
			all = append(all, f)
		}
	}
	// A batch diluted and given all of its own dyes again is never better than one
	// diluted less, so the dilution then stays 1.
	add(nil, len(q.Batch.Recipe) > 0)
	for _, c := range q.shelf {
		add([]colour{c}, !q.holdsOnly(c))
	}
	for _, pair := range q.promising() {
		add(pair, !q.holdsOnly(pair...))
	}
	slices.SortFunc(all, q.better)
	if q.Prefer == "" || q.Target.lighterPercent > 0 {
		return all[0]
	}
	best := all[0]
	for _, f := range all[:min(mostPushed, len(all))] {
		if f.de00 > q.ToleranceDE00 {
			break
		}
		if f, ok := q.searched(f.set, f.free, q.cheapest); ok && q.better(f, best) < 0 {
			best = f
		}
	}
	return best
}

// fewPairs are searched without a look at what they promise.
const fewPairs = 20

// promising are the pairs of dyes worth a full search: all of a small shelf; of a
// large one those that a quick search brings within the tolerance, and the fewPairs
// that it brings nearest.
func (q *quest) promising() [][]colour {
	type screening struct {
		pair []colour
		de00 float64
	}
	var all []screening
	for i, c := range q.shelf {
		for _, d := range q.shelf[:i] {
			all = append(all, screening{pair: []colour{d, c}})
		}
	}
	if len(all) > fewPairs {
		for i, s := range all {
			least := 1.0
			if !q.holdsOnly(s.pair...) {
				least = q.leastShare(q.Batch.Recipe, q.floor)
			}
			all[i].de00 = q.newAim(s.pair, least).screened().de00
		}
		slices.SortStableFunc(all, func(a, b screening) int { return cmp.Compare(a.de00, b.de00) })
		within, _ := slices.BinarySearchFunc(all, q.ToleranceDE00, func(s screening, most float64) int { return cmp.Compare(s.de00, most) })
		all = all[:min(len(all), max(within, fewPairs))]
	}
	pairs := make([][]colour, len(all))
	for i, s := range all {
		pairs[i] = s.pair
	}
	return pairs
}

// mostPushed is how many sets of dyes, those with the best nearest shades, are searched
// to the edge of the tolerance; it bounds the time on a large shelf.
const mostPushed = 24

// better orders answers, the preferred first.
func (q *quest) better(a, b found) int {
	return cmp.Or(
		cmp.Compare(q.tenths(a), q.tenths(b)), cmp.Compare(q.price(a.Answer), q.price(b.Answer)),
		cmp.Compare(len(a.AddDyes), len(b.AddDyes)), cmp.Compare(a.de00, b.de00),
	)
}

// tenths is the difference from the target in tenths; 0 within the tolerance.
func (q *quest) tenths(f found) float64 {
	if f.de00 <= q.ToleranceDE00 {
		return 0
	}
	return math.Ceil(10 * f.de00)
}

// holdsOnly reports whether all dyes of the batch are among these.
func (q *quest) holdsOnly(set ...colour) bool {
	for _, p := range q.Batch.Recipe {
		if !slices.ContainsFunc(set, func(c colour) bool { return c.Name == p.Dye }) {
			return false
		}
	}
	return true
}

// searched is what a search finds for a set of dyes with undyed wax, or
// without when the dilution is not free. It is not ok when a dye of the set has
// no part in it: then a smaller set has the same.
func (q *quest) searched(set []colour, free bool, search func(set []colour, leastShare float64) point) (found, bool) {
	at, after := point{}, q.Batch.Recipe
	if free {
		// How strong the dilution may be depends, a little, on the dye in the pot.
		least := 0.0
		for range 4 {
			share := q.leastShare(after, q.floor)
			if share == least {
				break
			}
			least = share
			at = search(set, least)
			after = q.mix(at, set)
		}
	} else {
		at = search(set, 1)
		after = q.mix(at, set)
	}
	if len(set) == 1 {
		q.alone[set[0].Name] = at
	}
	s := math.Exp(at.u)
	f := found{q.masses(s, q.wholeG(s, after), after), spectrum.DE00(q.lab(after), q.wanted), set, free}
	if len(f.AddDyes) < len(set) {
		return f, false
	}
	for i := range f.AddDyes {
		d := &f.AddDyes[i]
		c := set[slices.IndexFunc(set, func(c colour) bool { return c.Name == d.Dye })]
		d.AtMaximum = c.Strength(after.Dose(d.Dye)) >= c.mostG*(1-1e-6)
	}
	return f, true
}
