package recipe

import (
	"errors"
	"fmt"

	"setshade/internal/wax"
)

// Portion is the smallest amount of a dye that is measured out.
type Portion struct {
	// Name is singular: "quarter chip", "drop", "0.01 g".
	Name  string
	MassG float64
}

// PortionOf returns what a dye is measured out in: quarter chips, whole drops,
// or hundredths of a gram when it is weighed or its unit mass is not recorded
// (common practice, no source).
func PortionOf(d wax.Dye) Portion {
	switch {
	case d.UnitMassG > 0 && d.Form == wax.Chip:
		return Portion{"quarter chip", d.UnitMassG / 4}
	case d.UnitMassG > 0 && d.Form == wax.Liquid:
		return Portion{"drop", d.UnitMassG}
	}
	return Portion{"0.01 g", 0.01}
}

// Ingredient is a dye on the shelf as it can be measured out for one batch.
type Ingredient struct {
	wax.Dye
	Portion Portion
	// StepGPerKg is the dose that one portion gives the batch.
	StepGPerKg float64
}

// NewIngredient measures a dye out in its usual portions for a batch of undyed
// wax of the given mass in grams.
func NewIngredient(d wax.Dye, undyedG float64) (Ingredient, error) {
	if !(undyedG > 0 && undyedG <= 1e7) {
		return Ingredient{}, fmt.Errorf("a batch of %g g of wax cannot be; give its mass in grams", undyedG)
	}
	p := PortionOf(d)
	return Ingredient{d, p, p.MassG * 1000 / undyedG}, nil
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
