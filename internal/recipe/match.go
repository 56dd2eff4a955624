package recipe

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Limits says which recipes are allowed and which are good enough.
type Limits struct {
	// MaxDyes is the most dyes in one recipe, 1..MostDyes.
	MaxDyes int
	// MustUse and NeverUse name dyes of the shelf.
	MustUse, NeverUse []string
	// ToleranceDE00 is the difference the maker accepts, 0 or more: recipes
	// within it count as equally near, and the cheaper comes first.
	ToleranceDE00 float64
	// Answers is how many recipes to return, each of another set of dyes.
	Answers int
	// MostBoxes cuts a search short that would take too long; 0 for the usual
	// two million boxes of doses, some seconds.
	MostBoxes int
	// View is the piece of wax the target colour was taken from.
	View calibrate.View
}

// Amount is a dye of a recipe as it is measured out.
type Amount struct {
	Dye string
	// Portions is how many of Portion go into the batch.
	Portions int
	Portion  wax.Portion
	// DoseGPerKg is the dose that they give the batch, on top of what it holds.
	DoseGPerKg float64
	// AtMaximum tells that one portion more would exceed the dye's maximum.
	AtMaximum bool
}

// Candidate is a recipe for the target.
type Candidate struct {
	Recipe wax.Recipe
	// Amounts are the dyes in order of name.
	Amounts []Amount
	Shade   shade.Shade `json:"shade"`
	// DE00 is the difference between the shade and the target.
	DE00 float64 `json:"de00"`
	// PricePerKg is what the dyes cost for a kg of undyed wax; dyes in Unpriced
	// have no recorded price and are not in it.
	PricePerKg float64  `json:"price_per_kg" zero:"null"`
	Unpriced   []string `json:"unpriced"`
}

// Match returns recipes for a target colour, the best first, each of a
// different set of dyes: the smallest dE00 in tenths, where all within the
// tolerance count as equal; then the fewest dyes without a price, the lowest
// price, the fewest dyes, the smallest dE00. They are what trying every recipe
// would find, unless Reach says that the search was cut short. A target so pale
// that undyed wax is the best answer gets the empty recipe.
//
// Reach tells whether the target is reached and, if not, what stops it.
//
// It returns an error when a number cannot be, when a dye that must be used is
// not on the shelf or not learned, and when no recipe is allowed at all.
func Match(m *calibrate.Model, shelf []Ingredient, target spectrum.Lab, limits Limits) ([]Candidate, Reach, error) {
	s, left, err := newSearch(m, shelf, nil, target, limits)
	if err != nil {
		return nil, Reach{}, err
	}
	s.curves = s.tabulated(nil)
	nearest := s.seed()
	s.all()
	var out []Candidate
	for _, f := range s.best {
		c, err := s.candidate(m, f)
		if err != nil {
			return nil, Reach{}, err
		}
		out = append(out, c)
	}
	if len(out) == 0 {
		return nil, Reach{}, errors.New("the dyes that must be used cannot all be within their maximum dose in portions of this batch")
	}
	return out, s.reached(out[0], nearest, left), nil
}

// MatchMeasured is Match with dyes counted, and weighed where counting is too coarse:
// where no recipe is within the tolerance and finer doses come nearer, or a dye can be
// dosed that has no whole portion within its maximum.
func MatchMeasured(m *calibrate.Model, shelf []Ingredient, target spectrum.Lab, limits Limits) ([]Candidate, Reach, error) {
	found, reach, err := Match(m, shelf, target, limits)
	const nearer = 0.05 // dE00 that is told
	tooCoarse := func(in Ingredient) bool {
		tested, _ := m.Range(in.Name)
		return in.StepGPerKg > in.maximum(tested.MaxGPerKg)
	}
	if err == nil && (reach.Reached || reach.UnroundedDE00 > found[0].DE00-nearer && !slices.ContainsFunc(shelf, tooCoarse)) {
		return found, reach, nil
	}
	weighed := make([]Ingredient, len(shelf))
	for i, in := range shelf {
		weighed[i] = in.weighed()
	}
	if slices.Equal(weighed, shelf) {
		return found, reach, err
	}
	finer, finerReach, finerErr := Match(m, weighed, target, limits)
	if finerErr != nil || err == nil && finer[0].DE00 > found[0].DE00-nearer {
		return found, reach, err
	}
	return finer, finerReach, nil
}

func (l Limits) validate(shelf []Ingredient) error {
	switch {
	case l.MaxDyes < 1 || l.MaxDyes > MostDyes:
		return fmt.Errorf("a recipe of %d dyes cannot be searched for; choose 1 to %d", l.MaxDyes, MostDyes)
	case len(l.MustUse) > l.MaxDyes:
		return fmt.Errorf("%d dyes must be used but only %d are allowed", len(l.MustUse), l.MaxDyes)
	case !(l.ToleranceDE00 >= 0 && l.ToleranceDE00 <= 100):
		return fmt.Errorf("a tolerance of %g dE00 cannot be; it must lie between 0 and 100", l.ToleranceDE00)
	case l.MostBoxes < 0:
		return fmt.Errorf("a search of %d boxes cannot be; give 0 for the usual", l.MostBoxes)
	case l.Answers < 1 || l.Answers > 100:
		return fmt.Errorf("%d answers cannot be given; ask for 1 to 100", l.Answers)
	}
	for _, name := range append(slices.Clone(l.MustUse), l.NeverUse...) {
		if !slices.ContainsFunc(shelf, func(in Ingredient) bool { return in.Name == name }) {
			return fmt.Errorf("%s is not on the shelf", name)
		}
	}
	for i, name := range l.MustUse {
		if slices.Contains(l.NeverUse, name) {
			return fmt.Errorf("%s must be used and must never be used; choose one", name)
		}
		if slices.Contains(l.MustUse[:i], name) {
			return fmt.Errorf("%s is named twice among the dyes that must be used", name)
		}
	}
	return nil
}

// leftOut names dyes of the shelf that a match cannot use.
type leftOut struct{ notLearned, particles []string }

// newSearch prepares the shelf: the dyes that must be used first, then the
// others in order of name. What the wax holds already is never taken out of it.
// Curves are left to be tabulated.
func newSearch(m *calibrate.Model, shelf []Ingredient, holds wax.Recipe, target spectrum.Lab, limits Limits) (*search, leftOut, error) {
	if !target.IsPlausible() {
		return nil, leftOut{}, errors.New("the target is not a colour")
	}
	if limits.View.Liquid {
		return nil, leftOut{}, errors.New("a recipe is matched to the shade of set wax; photograph the target once it has set")
	}
	if err := limits.validate(shelf); err != nil {
		return nil, leftOut{}, err
	}
	palette, err := m.Palette(limits.View)
	if err != nil {
		return nil, leftOut{}, err
	}
	if limits.MostBoxes == 0 {
		limits.MostBoxes = 2_000_000
	}
	s := &search{
		palette: palette, undyed: palette.Undyed(), holds: holds, target: target, limits: limits,
		must: len(limits.MustUse), beat: merit{miss: math.Inf(1)},
	}
	if err := s.hold(m); err != nil {
		return nil, leftOut{}, err
	}
	sorted := slices.Clone(shelf)
	slices.SortFunc(sorted, func(a, b Ingredient) int { return strings.Compare(a.Name, b.Name) })
	var others []*colour
	var left leftOut
	for i, in := range sorted {
		tested, _ := m.Range(in.Name)
		must := slices.Contains(limits.MustUse, in.Name)
		learned, ok := palette.Colourant(in.Name)
		switch {
		case i > 0 && sorted[i-1].Name == in.Name:
			return nil, leftOut{}, fmt.Errorf("%s: %w", in.Name, errNameTwice)
		case slices.Contains(limits.NeverUse, in.Name):
			continue
		case tested.Scatters && must:
			return nil, leftOut{}, fmt.Errorf("%s is particles, which scatter; recipes are searched for among dyes that dissolve", in.Name)
		case tested.Scatters:
			left.particles = append(left.particles, in.Name)
			continue
		case !ok && must:
			_, err := m.AbsorptionOf(in.Name)
			return nil, leftOut{}, err
		case !ok:
			left.notLearned = append(left.notLearned, in.Name)
			continue
		}
		if err := in.Validate(); err != nil {
			return nil, leftOut{}, err
		}
		has := holds.Dose(in.Name)
		portions, err := in.portions(tested.MaxGPerKg, has)
		if err != nil {
			return nil, leftOut{}, err
		}
		c := &colour{Ingredient: in, Colourant: learned, strength: make([]float64, portions+1), useful: portions}
		for u := range c.strength {
			c.strength[u] = learned.Strength(has+float64(u)*in.StepGPerKg) - learned.Strength(has)
		}
		switch {
		case must && portions == 0:
			return nil, leftOut{}, fmt.Errorf("one %s of %s is more than its maximum dose in this batch", in.Portion.Name(), in.Name)
		case must:
			s.shelf = append(s.shelf, c)
		case portions > 0:
			others = append(others, c)
		}
	}
	s.shelf = append(s.shelf, others...)
	return s, left, nil
}

// hold counts in what the wax holds already.
func (s *search) hold(m *calibrate.Model) error {
	for _, p := range s.holds {
		learned, ok := s.palette.Colourant(p.Dye)
		if !ok {
			if _, err := m.AbsorptionOf(p.Dye); err != nil {
				return err
			}
			return fmt.Errorf("%s is particles, which scatter; recipes are searched for among dyes that dissolve", p.Dye)
		}
		strength := learned.Strength(p.DoseGPerKg)
		for i, k := range learned.Absorption {
			s.undyed[i] += k * strength
		}
	}
	return nil
}

// tabulated covers every absorption that as many dyes as allowed can reach, and
// those of wax that holds less; by the curves there are already, where they do.
func (s *search) tabulated(already *curves) *curves {
	least, most := math.Inf(1), 0.0
	for _, a := range s.palette.Undyed() {
		least = min(least, a)
	}
	for i, a := range s.undyed {
		full := make([]float64, len(s.shelf))
		for d, c := range s.shelf {
			full[d] = c.Absorption[i] * c.full()
		}
		slices.Sort(full)
		for _, k := range full[max(0, len(full)-s.limits.MaxDyes):] {
			a += k
		}
		most = max(most, a)
	}
	if already != nil && already.cover(least, most) {
		return already
	}
	return tabulate(s.palette, least, most*1.05)
}

func (s *search) candidate(m *calibrate.Model, f found) (Candidate, error) {
	var parts []wax.Part
	c := Candidate{DE00: f.merit.de00, PricePerKg: f.merit.price}
	for j, dye := range f.set {
		dose := float64(f.portions[j]) * dye.StepGPerKg
		parts = append(parts, wax.Part{Dye: dye.Name, DoseGPerKg: s.holds.Dose(dye.Name) + dose})
		c.Amounts = append(c.Amounts, Amount{
			Dye: dye.Name, Portions: f.portions[j], Portion: dye.Portion, DoseGPerKg: dose,
			AtMaximum: f.portions[j] == dye.most(),
		})
		if dye.PricePerG == 0 {
			c.Unpriced = append(c.Unpriced, dye.Name)
		}
	}
	for _, p := range s.holds {
		if !slices.ContainsFunc(parts, func(q wax.Part) bool { return q.Dye == p.Dye }) {
			parts = append(parts, p)
		}
	}
	slices.SortFunc(c.Amounts, func(a, b Amount) int { return strings.Compare(a.Dye, b.Dye) })
	var err error
	if c.Recipe, err = wax.NewRecipe(parts...); err != nil {
		return c, err
	}
	c.Shade, err = shade.Of(m, c.Recipe, s.limits.View)
	return c, err
}
