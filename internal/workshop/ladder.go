package workshop

import (
	"context"

	"setshade/internal/calibrate"
	"setshade/internal/recipe"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Ladder is tints evenly spaced between two doses.
type Ladder struct {
	Wax wax.Wax
	// Tints are the shades of finished pieces, both ends included.
	Tints []shade.Shade
	// StepsDE00 are the differences between each tint and the next, one fewer
	// than the tints.
	StepsDE00 []float64
	Notes     []string
}

// Ladder spaces so many tints evenly from one dose to another, both written as
// in a plan.
func (w *Workshop) Ladder(ctx context.Context, waxName, from, to string, tints int) (Ladder, error) {
	base, err := w.wax(ctx, waxName)
	if err != nil {
		return Ladder{}, err
	}
	var ends [2]wax.Recipe
	var doseNotes []string
	for i, dose := range []string{from, to} {
		r, notes, err := w.recipe(ctx, dose)
		if err != nil {
			return Ladder{}, err
		}
		ends[i], doseNotes = r, append(doseNotes, notes...)
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return Ladder{}, err
	}
	l := Ladder{Wax: base, Notes: append(notes, doseNotes...)}
	if l.Tints, err = recipe.Ladder(model, ends[0], ends[1], tints, calibrate.View{Thick: true}); err != nil {
		return Ladder{}, err
	}
	for i := 1; i < len(l.Tints); i++ {
		l.StepsDE00 = append(l.StepsDE00, spectrum.DE00(l.Tints[i-1].Lab, l.Tints[i].Lab))
	}
	return l, nil
}
