package workshop

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strings"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/recipe"
	"setshade/internal/shade"
	"setshade/internal/store"
	"setshade/internal/units"
	"setshade/internal/wax"
)

// Layers is an order for pours of different tints from one pot.
type Layers struct {
	Wax string
	// Pours are written "Bracken 2 g/kg x 200 g", in the order they are poured;
	// the mass counts wax, dye and fragrance.
	Pours []string
	Load  wax.Load
	// PotG is the most that the pot holds in grams; 0 when it is large enough.
	PotG float64
}

// Blend is how to pour the layers.
type Blend struct {
	Wax   wax.Wax
	Steps []recipe.BlendStep
	// Shades are those of finished pieces, one a step; nil where the wax or a
	// dye of a layer has not been learned.
	Shades []shade.Shade
	Notes  []string
}

// Blend works out what to add to one pot before each pour, so that nothing is
// left after the last.
func (w *Workshop) Blend(ctx context.Context, l Layers) (Blend, error) {
	base, err := w.wax(ctx, l.Wax)
	if err != nil {
		return Blend{}, err
	}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return Blend{}, err
	}
	b := Blend{Wax: base}
	pours := make([]recipe.Pour, len(l.Pours))
	for i, text := range l.Pours {
		var remarks []string
		if pours[i], remarks, err = pourOf(text, dyes); err != nil {
			return Blend{}, fmt.Errorf("layer %d: %w", i+1, err)
		}
		b.Notes = append(b.Notes, remarks...)
	}
	if b.Steps, err = recipe.Blend(pours, l.Load, l.PotG); err != nil {
		return Blend{}, err
	}
	b.Notes = append(b.Notes, loadNotes(base, l.Load)...)
	return b, w.layerShades(ctx, &b)
}

// mass stands at the end of a layer: "x 200 g", or "× 1/2 lb".
var mass = regexp.MustCompile(`(?i)\s[x×]\s*([0-9].*)$`)

// pourOf reads "Bracken 2 g/kg x 200 g".
func pourOf(text string, shelf []wax.Dye) (recipe.Pour, []string, error) {
	found := mass.FindStringSubmatch(text)
	if found == nil {
		return recipe.Pour{}, nil, fmt.Errorf(`%.80q does not say how much is poured; write it like "Bracken 2 g/kg x 200 g"`, text)
	}
	poured, err := units.Parse(found[1], units.Mass)
	if err != nil {
		return recipe.Pour{}, nil, err
	}
	if poured.Grams() == 0 {
		return recipe.Pour{}, nil, errors.New("a layer of 0 g cannot be poured; leave it out")
	}
	parts, err := plan.ParseDose(strings.TrimSuffix(text, found[0]))
	if err != nil {
		return recipe.Pour{}, nil, err
	}
	dose, notes, err := plan.ResolveDose(parts, shelf)
	return recipe.Pour{Recipe: dose, TotalG: poured.Grams()}, notes, err
}

// layerShades predicts every layer. What was not learned is no failure: the
// layers can be poured without it.
func (w *Workshop) layerShades(ctx context.Context, b *Blend) error {
	model, notes, err := w.learned(ctx, b.Wax)
	if errors.Is(err, store.ErrNotFound) {
		b.Notes = append(b.Notes, fmt.Sprintf("no shades are told: %s has not been learned yet", b.Wax.Name))
		return nil
	}
	if err != nil {
		return err
	}
	b.Notes = append(b.Notes, notes...)
	shades := make([]shade.Shade, len(b.Steps))
	for i, s := range b.Steps {
		shades[i], err = shade.Of(model, s.Pour.Recipe, calibrate.View{Thick: true})
		if errors.Is(err, calibrate.ErrUnknownDye) {
			b.Notes = append(b.Notes, fmt.Sprintf("no shades are told: %s has a dye that was not learned in %s", s.Pour.Recipe, b.Wax.Name))
			return nil
		}
		if err != nil {
			return err
		}
	}
	b.Shades = shades
	return nil
}
