package workshop

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/recipe"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// StockUse is what a recipe takes out of dyed wax set aside.
type StockUse struct {
	// Stock is as it was before.
	Stock wax.Stock
	// Taken is the part of it that is used; all of it when UsedUp.
	Taken  wax.Batch
	UsedUp bool
}

// withStock finds, for each stock, the recipe that uses up most of it and is not
// farther off than atMostDE00 but for the tolerance; first the nearest, then the
// one that uses most. It also says which stocks have no part, and why.
func (wish Wish) withStock(model *calibrate.Model, shelf []recipe.Ingredient, stocks []wax.Stock, target spectrum.Lab, limits recipe.Limits, atMostDE00 float64) (found []recipe.StockMatch, uses []StockUse, notes []string) {
	type answer struct {
		recipe.StockMatch
		use StockUse
	}
	var answers []answer
	for _, s := range stocks {
		if err := fits(s, wish.Load); err != nil {
			notes = append(notes, fmt.Sprintf("stock %d was not tried: %s", s.Number, err))
			continue
		}
		best, any, complete, err := recipe.MatchStock(model, shelf, s.Recipe, sharesOf(s, wish.UndyedG), target, limits, atMostDE00)
		switch {
		case err != nil:
			notes = append(notes, fmt.Sprintf("stock %d was not tried: %s", s.Number, err))
		case !complete:
			notes = append(notes, fmt.Sprintf("the search with stock %d was cut short; allow fewer dyes for one that is sure", s.Number))
		case !any:
			notes = append(notes, fmt.Sprintf("stock %d was tried, and no recipe with some of it comes as near", s.Number))
		}
		if any {
			answers = append(answers, answer{best, useOf(s, best.Share*wish.UndyedG)})
		}
	}
	miss := func(a answer) float64 { return max(math.Ceil(a.DE00*10)/10, wish.ToleranceDE00) }
	slices.SortStableFunc(answers, func(a, b answer) int {
		return cmp.Or(cmp.Compare(miss(a), miss(b)), cmp.Compare(b.use.Taken.TotalG(), a.use.Taken.TotalG()))
	})
	for _, a := range answers {
		found, uses = append(found, a.StockMatch), append(uses, a.use)
	}
	return found, uses, notes
}

// fits refuses stock that a batch of a load cannot take.
func fits(s wax.Stock, load wax.Load) error {
	switch {
	case len(s.Recipe) == 0:
		return errors.New("it is undyed")
	case s.Load.PerWaxPercent() > load.PerWaxPercent()*(1+1e-9):
		return fmt.Errorf("its fragrance, %s, is more than the batch is to have; tell the batch's load", s.Load)
	}
	return nil
}

// sharesOf are the parts of a batch's undyed wax that a stock may make up: even
// grams of the stock, in at most 40 steps of 1, 2 or 5 times a power of ten, and
// all of it where the batch takes that much.
func sharesOf(s wax.Stock, undyedG float64) []float64 {
	const steps = 40
	perWax := s.TotalG() / s.UndyedG
	most := min(s.TotalG(), undyedG*perWax)
	step := math.Pow(10, math.Floor(math.Log10(most/steps)))
	for _, times := range []float64{1, 2, 5, 10} {
		if most/(step*times) <= steps {
			step *= times
			break
		}
	}
	var shares []float64
	for i := 1; float64(i)*step <= most*(1+1e-9); i++ {
		shares = append(shares, min(1, float64(i)*step/perWax/undyedG))
	}
	if s.UndyedG <= undyedG {
		shares = append(shares, s.UndyedG/undyedG)
	}
	return shares
}

// useOf takes undyed wax, with all that is in it, out of a stock.
func useOf(s wax.Stock, undyedG float64) StockUse {
	u := StockUse{Stock: s, Taken: s.Batch}
	if u.UsedUp = undyedG >= s.UndyedG*(1-1e-9); !u.UsedUp {
		u.Taken.UndyedG = undyedG
	}
	return u
}

// melt is the whole batch of a recipe, and what of undyed wax and fragrance is
// added to the stock in it. Additives of the stock are thinned with it.
func melt(r wax.Recipe, undyedG float64, load wax.Load, use *StockUse) (whole wax.Batch, addUndyedG, addFragranceG float64) {
	whole = wax.Batch{UndyedG: undyedG, Recipe: r, Load: load}
	if use == nil {
		return whole, undyedG, whole.FragranceG()
	}
	for _, a := range use.Taken.Additives {
		a.Percent *= use.Taken.UndyedG / undyedG
		whole.Additives = append(whole.Additives, a)
	}
	return whole, undyedG - use.Taken.UndyedG, max(0, whole.FragranceG()-use.Taken.FragranceG())
}
