package recipe

import (
	"fmt"
	"math"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// StockMatch is a recipe that is partly made of dyed wax set aside.
type StockMatch struct {
	// Candidate has the whole recipe; its Amounts and prices are of the dyes
	// added to what the stock brings.
	Candidate
	// Share of the batch's undyed wax that the stock brings, above 0 and at
	// most 1.
	Share float64
}

// MatchStock finds the recipe for a target that uses up most of a stock. With a
// share s of the batch's wax out of the stock, the dose of every dye is
//
//	c = s c_stock + c_added
//
// The shares are those that can be weighed out, each above 0 and at most 1. Of
// all recipes with one of them it returns the best in this order: the smallest
// dE00 in tenths, where all within the tolerance count as equal; the largest
// share; then as Match does, the prices being those of the dyes added. The most
// dyes counts those added, and a dye that must be used may come with the stock.
//
// A recipe farther off than atMostDE00, in the same tenths and tolerance, is
// none: with the dE00 of the best recipe without stock, using stock never costs
// anything that the tolerance does not allow. atMostDE00 may be +Inf.
//
// found is false when there is no such recipe; complete is false when the search
// was cut short. A stock of dyes that are not learned, that scatter, or that must
// not be used is refused with an error.
func MatchStock(m *calibrate.Model, shelf []Ingredient, stock wax.Recipe, shares []float64, target spectrum.Lab, limits Limits, atMostDE00 float64) (best StockMatch, found, complete bool, err error) {
	limits, err = limits.besideStock(stock)
	if err != nil {
		return best, false, false, err
	}
	for _, share := range shares {
		if !(share > 0 && share <= 1) {
			panic("recipe: a share of stock is above 0 and at most 1")
		}
	}
	if !(atMostDE00 >= 0) {
		panic("recipe: a recipe lies 0 dE00 or more off")
	}
	shares = slices.Clone(shares)
	slices.Sort(shares)
	slices.Reverse(shares)
	beat := merit{miss: max(tenths(atMostDE00), limits.ToleranceDE00), unpriced: math.MaxInt}
	var already *curves
	for _, share := range shares {
		holds := stock.Scaled(share)
		s, _, err := newSearch(m, shelf, holds, target, limits)
		if err != nil {
			return best, false, false, err
		}
		if s.overMaximum(m, shelf) {
			continue
		}
		s.curves = s.tabulated(already)
		s.beat, already = beat, s.curves
		if math.IsInf(beat.miss, 1) {
			s.seed()
		}
		s.all()
		if limits.MostBoxes = s.limits.MostBoxes - s.boxes; limits.MostBoxes <= 0 {
			return best, found, false, nil
		}
		if len(s.best) == 0 {
			continue
		}
		found = true
		best.Share = share
		if best.Candidate, err = s.candidate(m, s.best[0]); err != nil {
			return best, false, false, err
		}
		// A smaller share must be nearer.
		if beat = (merit{miss: s.best[0].merit.miss}); beat.miss <= limits.ToleranceDE00 {
			break
		}
	}
	return best, found, true, nil
}

// besideStock are the limits for the dyes that are added to a stock.
func (l Limits) besideStock(stock wax.Recipe) (Limits, error) {
	if _, err := wax.NewRecipe(stock...); err != nil {
		return l, fmt.Errorf("the stock cannot be: %w", err)
	}
	for _, name := range l.NeverUse {
		if stock.Dose(name) > 0 {
			return l, fmt.Errorf("%s is in it, which must not be used", name)
		}
	}
	l.Answers = 1
	l.MustUse = slices.DeleteFunc(slices.Clone(l.MustUse), func(name string) bool { return stock.Dose(name) > 0 })
	return l, nil
}

// overMaximum reports that the wax holds more of a dye than its maximum dose.
func (s *search) overMaximum(m *calibrate.Model, shelf []Ingredient) bool {
	return slices.ContainsFunc(shelf, func(in Ingredient) bool {
		tested, _ := m.Range(in.Name)
		return s.holds.Dose(in.Name) > in.maximum(tested.MaxGPerKg)*(1+rounding)
	})
}
