package wax

import (
	"fmt"
	"strings"
)

// Additive is what is mixed into the wax beside dye and fragrance, such as a
// hardener: its name and its share. It is taken to add no colour.
type Additive struct {
	Name string
	// Percent of the undyed wax, above 0 and at most 50.
	Percent float64
}

// MassG returns the grams of it for the grams of undyed wax.
func (a Additive) MassG(undyedG float64) float64 { return undyedG * a.Percent / 100 }

// Validate reports an additive that cannot be.
func (a Additive) Validate() error {
	if err := validName("additive", a.Name); err != nil {
		return err
	}
	if !within(a.Percent, 0, 50) || a.Percent == 0 {
		return fmt.Errorf("%s at %g %% cannot be; it must be above 0 and at most 50 %% of the undyed wax", a.Name, a.Percent)
	}
	return nil
}

func validateAdditives(all []Additive) error {
	seen := map[string]bool{}
	for _, a := range all {
		if err := a.Validate(); err != nil {
			return err
		}
		name := strings.ToLower(a.Name)
		if seen[name] {
			return fmt.Errorf("%s is given twice in one batch", a.Name)
		}
		seen[name] = true
	}
	return nil
}
