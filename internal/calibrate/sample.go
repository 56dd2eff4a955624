package calibrate

import (
	"fmt"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Sample is one set drop as the fit sees it.
type Sample struct {
	// ID names the drop in diagnoses; any number that the caller knows it by.
	ID     int64
	Recipe wax.Recipe
	Colour spectrum.Measured
	// Card is the colour of the bare card under the drop.
	Card spectrum.Lab
}

// SamplesOf takes the swatches a fit may learn from: set drops that are not
// kept back as checks.
func SamplesOf(swatches []wax.Swatch) []Sample {
	var out []Sample
	for _, s := range swatches {
		if s.State == wax.SetState && !s.Check {
			out = append(out, Sample{ID: s.ID, Recipe: s.Recipe, Colour: s.Colour, Card: s.Card})
		}
	}
	return out
}

func (s Sample) validate() error {
	if !s.Colour.Lab.IsFinite() || !s.Card.IsFinite() {
		return fmt.Errorf("swatch %d has no finite colour", s.ID)
	}
	_, err := wax.NewRecipe(s.Recipe...)
	if err != nil {
		return fmt.Errorf("swatch %d: %w", s.ID, err)
	}
	return nil
}
