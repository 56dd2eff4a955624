package workshop

import (
	"context"

	"setshade/internal/batch"
	"setshade/internal/calibrate"
	"setshade/internal/recipe"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Ladder is tints evenly spaced between two doses.
type Ladder struct {
	Wax wax.Wax `json:"wax"`
	// Tints are the shades of finished pieces, both ends included.
	Tints []shade.Shade
	// StepsDE00 are the differences between each tint and the next, one fewer
	// than the tints.
	StepsDE00 []float64
	// UndyedG is the undyed wax of each tint in grams, 0 when not told; Rounded
	// are the tints as they can be measured out for it, nil then.
	UndyedG float64 `json:"undyed_g" zero:"null"`
	Rounded []RoundedTint
	Notes   []string `json:"notes"`
}

// RoundedTint is a tint with its dyes in whole portions.
type RoundedTint struct {
	Dyes []batch.Measured `json:"dyes"`
	// Reached is the shade that they give, RoundingDE00 how far it lies from the
	// tint.
	Reached      shade.Shade `json:"shade_reached"`
	RoundingDE00 float64     `json:"rounding_de00"`
}

// Ladder spaces so many tints evenly from one dose to another, both written as
// in a plan. With undyedG above 0, the wax of each tint in grams, the dyes are
// also told in whole portions.
func (w *Workshop) Ladder(ctx context.Context, waxName, from, to string, tints int, undyedG float64) (Ladder, error) {
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
	if undyedG == 0 {
		return l, nil
	}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return Ladder{}, err
	}
	l.UndyedG = undyedG
	for _, tint := range l.Tints {
		rounded, err := roundedTint(model, tint, dyes, undyedG)
		if err != nil {
			return Ladder{}, err
		}
		l.Rounded = append(l.Rounded, rounded)
	}
	return l, nil
}

func roundedTint(model *calibrate.Model, tint shade.Shade, dyes []wax.Dye, undyedG float64) (RoundedTint, error) {
	var r RoundedTint
	var reached wax.Recipe
	for _, p := range tint.Recipe {
		m := batch.Measure(dyeNamed(dyes, p.Dye), p.DoseGPerKg, undyedG)
		r.Dyes = append(r.Dyes, m)
		if m.Count > 0 {
			reached = append(reached, wax.Part{Dye: m.Dye, DoseGPerKg: m.ReachedGPerKg})
		}
	}
	var err error
	if r.Reached, err = shade.Of(model, reached, calibrate.View{Thick: true}); err != nil {
		return r, err
	}
	r.RoundingDE00 = spectrum.DE00(tint.Lab, r.Reached.Lab)
	return r, nil
}

// dyeNamed finds a dye that is known to be on the shelf.
func dyeNamed(dyes []wax.Dye, name string) wax.Dye {
	for _, d := range dyes {
		if d.Name == name {
			return d
		}
	}
	panic("workshop: the dye was resolved from the shelf: " + name)
}
