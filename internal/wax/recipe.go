package wax

import (
	"fmt"
	"sort"
	"strings"
)

// Undyed is the word that stands for wax without dye in plans and on screen.
const Undyed = "undyed"

// MaxDoseGPerKg bounds every dose: above it the wax is no longer the medium.
const MaxDoseGPerKg = 1000.0

// Part is one dye of a recipe with its dose.
type Part struct {
	Dye string `json:"dye"`
	// DoseGPerKg is g of dye per kg of undyed wax, above 0.
	DoseGPerKg float64 `json:"dose_g_per_kg"`
}

// Recipe is the dyes in a wax, each once, in order of name. The empty recipe
// is undyed wax.
type Recipe []Part

// NewRecipe puts parts in order of name. It refuses a dye without a name or
// given twice, a dose that is not above 0, and a dose above MaxDoseGPerKg.
func NewRecipe(parts ...Part) (Recipe, error) {
	r := append(Recipe(nil), parts...)
	sort.Slice(r, func(i, j int) bool { return r[i].Dye < r[j].Dye })
	for i, p := range r {
		if p.Dye == "" {
			return nil, fmt.Errorf("a dose of %g g/kg has no dye", p.DoseGPerKg)
		}
		if !within(p.DoseGPerKg, 0, MaxDoseGPerKg) || p.DoseGPerKg == 0 {
			return nil, fmt.Errorf("the dose of %s is %g g/kg; it must be above 0 and at most %g", p.Dye, p.DoseGPerKg, MaxDoseGPerKg)
		}
		if i > 0 && r[i-1].Dye == p.Dye {
			return nil, fmt.Errorf("%s is given twice in one recipe", p.Dye)
		}
	}
	return r, nil
}

// Scaled returns the recipe with every dose times the factor, which must be
// above 0: what diluting with undyed wax does.
func (r Recipe) Scaled(factor float64) Recipe {
	if !(factor > 0) {
		panic("wax: a recipe is scaled by a factor above 0")
	}
	out := append(Recipe(nil), r...)
	for i := range out {
		out[i].DoseGPerKg *= factor
	}
	return out
}

// Dose returns the dose of a dye in g/kg, 0 when the recipe has none of it.
func (r Recipe) Dose(dye string) float64 {
	for _, p := range r {
		if p.Dye == dye {
			return p.DoseGPerKg
		}
	}
	return 0
}

// String writes the recipe as a plan does: "Bracken 0.5 g/kg + Slate 1 g/kg".
func (r Recipe) String() string {
	if len(r) == 0 {
		return Undyed
	}
	parts := make([]string, len(r))
	for i, p := range r {
		parts[i] = fmt.Sprintf("%s %.4g g/kg", p.Dye, p.DoseGPerKg)
	}
	return strings.Join(parts, " + ")
}
