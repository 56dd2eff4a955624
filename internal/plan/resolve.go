package plan

import (
	"cmp"
	"fmt"

	"setshade/internal/plaintext"
	"setshade/internal/wax"
)

// Resolved is a drop with its dose in grams.
type Resolved struct {
	Number int
	Recipe wax.Recipe
	Check  bool
	// LeftOut marks a drop of which nothing is kept; its recipe says nothing.
	LeftOut bool
	// MassG is what the drop weighs, g: its own, else the card's; 0 when not given.
	MassG float64
	// Notes say what is allowed but unusual, such as a dose above the dye's
	// maximum, in plain words.
	Notes []string
}

// Resolve turns every drop's amounts into g/kg with the dyes on the shelf.
// It refuses a dye that is not on the shelf, a unit that does not fit the
// dye's form, and chips or drops of unknown mass.
func (p Plan) Resolve(shelf []wax.Dye) ([]Resolved, error) {
	out := make([]Resolved, len(p.Drops))
	for i, d := range p.Drops {
		recipe, notes, err := ResolveDose(d.Parts, shelf)
		if err != nil {
			return nil, fmt.Errorf("drop %d: %w", d.Number, err)
		}
		out[i] = Resolved{Number: d.Number, Recipe: recipe, Check: d.Check, LeftOut: d.LeftOut, MassG: cmp.Or(d.MassG, p.MassG), Notes: notes}
	}
	return out, nil
}

// ResolveDose turns the amounts of one dose into a recipe; see Plan.Resolve.
func ResolveDose(parts []Amount, shelf []wax.Dye) (wax.Recipe, []string, error) {
	var notes []string
	weighed := make([]wax.Part, len(parts))
	for i, a := range parts {
		dye, err := onShelf(a.Dye, shelf)
		if err != nil {
			return nil, nil, err
		}
		dose, err := a.GPerKg(dye)
		if err != nil {
			return nil, nil, err
		}
		if dye.MaxDoseGPerKg > 0 && dose > dye.MaxDoseGPerKg {
			notes = append(notes, fmt.Sprintf("%s at %.4g g/kg is above its maximum of %.4g g/kg", dye.Name, dose, dye.MaxDoseGPerKg))
		}
		weighed[i] = wax.Part{Dye: dye.Name, DoseGPerKg: dose}
	}
	recipe, err := wax.NewRecipe(weighed...)
	return recipe, notes, err
}

// onShelf finds a dye by its name, capitals or not.
func onShelf(name string, shelf []wax.Dye) (wax.Dye, error) {
	names := make([]string, len(shelf))
	for i, d := range shelf {
		if plaintext.Same(d.Name, name) {
			return d, nil
		}
		names[i] = d.Name
	}
	if near := plaintext.Nearest(name, names); near != "" {
		return wax.Dye{}, fmt.Errorf("there is no dye %q on the shelf; did you mean %q?", name, near)
	}
	return wax.Dye{}, fmt.Errorf("there is no dye %q on the shelf; add it first", name)
}

// GPerKg converts the amount by the scale of its unit, chips and drops also by the
// dye's unit mass.
func (a Amount) GPerKg(dye wax.Dye) (float64, error) {
	unit := scales[a.Unit]
	if unit.counted == "" {
		return a.Value * unit.perKg, nil
	}
	if unit.counted != dye.Form.Unit() {
		return 0, fmt.Errorf("%s is a %s and is not counted in %ss; write its dose in g/kg", dye.Name, dye.Form, unit.counted)
	}
	if dye.UnitMassG == 0 {
		return 0, fmt.Errorf("the mass of one %s of %s is not recorded; weigh ten together, record a tenth of it, or write the dose in g/kg", dye.Form.Unit(), dye.Name)
	}
	return a.Value * unit.perKg * dye.UnitMassG, nil
}
