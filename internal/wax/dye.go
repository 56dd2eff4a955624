package wax

import (
	"fmt"
	"strings"

	"setshade/internal/plaintext"
)

// Form is how a dye comes, and so how it is measured out and how it colours.
type Form string

// The forms of dye. Chips, liquids and powders dissolve and only absorb;
// pigments and micas stay as particles, which also scatter.
const (
	Chip    Form = "chip"
	Liquid  Form = "liquid"
	Powder  Form = "powder"
	Pigment Form = "pigment"
	Mica    Form = "mica"
)

// Forms lists every form in the order they are shown.
func Forms() []Form { return []Form{Chip, Liquid, Powder, Pigment, Mica} }

// Dissolves reports whether the form dissolves in wax, so that it absorbs and
// does not scatter.
func (f Form) Dissolves() bool { return f == Chip || f == Liquid || f == Powder }

// Unit names what is counted of the form ("chip", "drop"), or "" when the form
// is weighed.
func (f Form) Unit() string {
	switch f {
	case Chip:
		return "chip"
	case Liquid:
		return "drop"
	}
	return ""
}

// Dye is one dye on the shelf.
type Dye struct {
	Name string `json:"name"`
	Form Form   `json:"form"`
	// UnitMassG is the mass of one chip or one drop in grams; 0 when unknown
	// or when the form is weighed.
	UnitMassG float64 `json:"unit_mass_g" zero:"null"`
	// MaxDoseGPerKg is the supplier's or the maker's limit; 0 when none is
	// recorded.
	MaxDoseGPerKg float64 `json:"max_dose_g_per_kg" zero:"null"`
	// PricePerG in the maker's own currency; 0 when not recorded.
	PricePerG float64 `json:"price_per_g" zero:"null"`
	// Lot is the supplier's batch mark, as printed.
	Lot string `json:"lot" zero:"null"`
}

// Validate reports the first thing that cannot be true of the dye.
func (d Dye) Validate() error {
	if err := validName("dye", d.Name); err != nil {
		return err
	}
	known := false
	for _, f := range Forms() {
		known = known || f == d.Form
	}
	if !known {
		return fmt.Errorf("the form of %s is %q; it must be one of chip, liquid, powder, pigment, mica", d.Name, d.Form)
	}
	const speck = 1e-6 // lighter than any drop, so that a batch is a number of them
	switch {
	case d.UnitMassG != 0 && !within(d.UnitMassG, speck, 1000):
		return fmt.Errorf("the unit mass of %s is %g g; it must be from 0.000001 to 1000, or 0 while it is not known", d.Name, d.UnitMassG)
	case !within(d.MaxDoseGPerKg, 0, 1000):
		return fmt.Errorf("the maximum dose of %s is %g g/kg; it must lie between 0 and 1000", d.Name, d.MaxDoseGPerKg)
	case !within(d.PricePerG, 0, 1e6):
		return fmt.Errorf("the price of %s is %g per gram; it must not be negative", d.Name, d.PricePerG)
	case len(d.Lot) > 80:
		return fmt.Errorf("the lot of %s may have 80 bytes", d.Name)
	case strings.ContainsFunc(d.Lot, plaintext.IsHiddenInLines):
		return fmt.Errorf("the lot of %s has a character that cannot be shown; type it again", d.Name)
	}
	return nil
}
