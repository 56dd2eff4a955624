package recipe

import (
	"errors"
	"fmt"

	"setshade/internal/wax"
)

// Ingredient is a dye on the shelf as it can be measured out for one batch.
type Ingredient struct {
	wax.Dye
	Portion wax.Portion
	// StepGPerKg is the dose that one portion gives the batch.
	StepGPerKg float64
}

// NewIngredient counts a dye out for a batch of undyed wax of the given mass in grams.
func NewIngredient(d wax.Dye, undyedG float64) (Ingredient, error) {
	if !(undyedG > 0 && undyedG <= 1e7) {
		return Ingredient{}, fmt.Errorf("a batch of %g g of wax cannot be; give its mass in grams", undyedG)
	}
	p := d.Counted()
	return Ingredient{d, p, p.MassG * 1000 / undyedG}, nil
}

// weighed is the ingredient on a scale instead of counted, where that is finer.
func (in Ingredient) weighed() Ingredient {
	if p := wax.Weighed(); p.MassG < in.Portion.MassG {
		in.StepGPerKg *= p.MassG / in.Portion.MassG
		in.Portion = p
	}
	return in
}

// MostPortions bounds a search; more portions than this are not counted out.
const MostPortions = 100_000

// maximum is the dye's maximum dose, or the highest dose tested when no maximum
// is recorded.
func (in Ingredient) maximum(testedGPerKg float64) float64 {
	if in.MaxDoseGPerKg == 0 {
		return testedGPerKg
	}
	return in.MaxDoseGPerKg
}

// portions returns how many portions stay within the dye's maximum dose on top
// of what the wax holds of it.
func (in Ingredient) portions(testedGPerKg, hasGPerKg float64) (int, error) {
	most := max(0, in.maximum(testedGPerKg)-hasGPerKg)
	if !(in.StepGPerKg > 0 && in.StepGPerKg <= wax.MaxDoseGPerKg) {
		return 0, fmt.Errorf("one portion of %s gives %g g/kg; it must be above 0 and at most %g", in.Name, in.StepGPerKg, wax.MaxDoseGPerKg)
	}
	n := most / in.StepGPerKg * (1 + rounding)
	if n > MostPortions {
		return 0, fmt.Errorf("%s would have to be measured out in %.0f portions; choose a larger portion for this batch", in.Name, n)
	}
	return int(n), nil
}

var errNameTwice = errors.New("a dye stands on the shelf twice")
