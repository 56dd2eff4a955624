package workshop

import (
	"context"
	"fmt"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Forecast is the shade of a recipe before pouring.
type Forecast struct {
	Wax    wax.Wax    `json:"wax"`
	Recipe wax.Recipe `json:"dose"`
	// Piece is the shade of a finished, thick piece; Drop that of a test drop
	// on usual white card.
	Piece shade.Shade `json:"piece"`
	Drop  shade.Shade `json:"drop"`
	// Notes are remarks on doses and on what was learned, in plain words.
	Notes []string `json:"notes"`
}

// Predict tells the set shade of a dose, written as in a plan: "Bracken 0.5
// g/kg + Slate Hill 2 chips/kg".
func (w *Workshop) Predict(ctx context.Context, waxName, dose string) (Forecast, error) {
	base, err := w.wax(ctx, waxName)
	if err != nil {
		return Forecast{}, err
	}
	recipe, doseNotes, err := w.recipe(ctx, dose)
	if err != nil {
		return Forecast{}, err
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return Forecast{}, err
	}
	f := Forecast{Wax: base, Recipe: recipe, Notes: append(notes, doseNotes...)}
	if f.Piece, err = shade.Of(model, recipe, calibrate.View{Thick: true}); err != nil {
		return Forecast{}, err
	}
	f.Drop, err = shade.Of(model, recipe, calibrate.View{Card: plan.UsualCard})
	if err != nil {
		return Forecast{}, err
	}
	sparkle, err := w.sparkle(ctx, recipe)
	f.Notes = append(append(f.Notes, lightShift(f.Piece)...), sparkle...)
	return f, err
}

// sparkle says what the forms of the dyes keep a prediction from telling.
func (w *Workshop) sparkle(ctx context.Context, recipe wax.Recipe) ([]string, error) {
	dyes, err := w.Store.Dyes.List(ctx)
	return calibrate.FormCautions(formsOf(dyes), recipe), err
}

// seenShift is the dE00 from which a shift between lights is worth a word: seen
// side by side (common practice, no source).
const seenShift = 2.0

func lightShift(s shade.Shade) []string {
	var out []string
	for _, l := range s.Lights {
		if l.ShiftDE00 > seenShift {
			out = append(out, fmt.Sprintf("under %s it looks %.1f dE00 away from its daylight self", LightName(l.Light), l.ShiftDE00))
		}
	}
	return out
}

// LightName is the maker's name of a light.
func LightName(l spectrum.Illuminant) string {
	switch l {
	case spectrum.D65:
		return "daylight (D65)"
	case spectrum.A:
		return "a warm lamp (A)"
	case spectrum.LEDB3:
		return "a white LED (LED-B3)"
	}
	return l.String()
}

// recipe reads a written dose with the dyes on the shelf.
func (w *Workshop) recipe(ctx context.Context, dose string) (wax.Recipe, []string, error) {
	parts, err := plan.ParseDose(dose)
	if err != nil {
		return nil, nil, err
	}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return nil, nil, err
	}
	return plan.ResolveDose(parts, dyes)
}
