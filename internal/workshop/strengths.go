package workshop

import (
	"context"

	"setshade/internal/calibrate"
	"setshade/internal/wax"
)

// Strength is a recipe at so many times its doses, and the finished piece.
type Strength struct {
	Times  float64
	Recipe wax.Recipe
	calibrate.Prediction
}

// strengthsTold are the times at which Strengths tells a recipe.
var strengthsTold = []float64{0.25, 0.5, 0.75, 1, 1.25, 1.5, 2}

// Strengths tells how a dose, written as in a plan, looks weaker and stronger.
// It is empty for undyed wax.
func (w *Workshop) Strengths(ctx context.Context, waxName, dose string) ([]Strength, error) {
	base, err := w.wax(ctx, waxName)
	if err != nil {
		return nil, err
	}
	recipe, _, err := w.recipe(ctx, dose)
	if err != nil || len(recipe) == 0 {
		return nil, err
	}
	model, _, err := w.learned(ctx, base)
	if err != nil {
		return nil, err
	}
	var out []Strength
	for _, times := range strengthsTold {
		scaled := recipe.Scaled(times)
		p, err := model.Predict(scaled, calibrate.View{Thick: true})
		if err != nil {
			return nil, err
		}
		out = append(out, Strength{times, scaled, p})
	}
	return out, nil
}
