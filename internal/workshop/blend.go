package workshop

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"setshade/internal/batch"
	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/recipe"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
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
	// Measured are the steps' dyes as they can be measured out.
	Measured []MeasuredLayer
	// Shades are those of finished pieces, one a step; nil where the wax or a
	// dye of a layer has not been learned.
	Shades []shade.Shade
	Notes  []string
}

// MeasuredLayer is a layer with its dyes in whole portions. What rounding left
// over or short in the pot is made up for in the next portions.
type MeasuredLayer struct {
	Adds []batch.Measured
	// Reached is the recipe in the pot.
	Reached wax.Recipe
	// Shade is that of Reached, RoundingDE00 how far it lies from the layer asked;
	// both zero where no shades are told.
	Shade        shade.Shade
	RoundingDE00 float64
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
	if err := batch.CheckLoad(l.Load, base); err != nil {
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
	b.Measured = measuredLayers(b.Steps, dyes)
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
	for i := range b.Measured {
		m := &b.Measured[i]
		if m.Shade, err = shade.Of(model, m.Reached, calibrate.View{Thick: true}); err != nil {
			return err
		}
		m.RoundingDE00 = spectrum.DE00(shades[i].Lab, m.Shade.Lab)
	}
	return nil
}

// measuredLayers follows the dye in the pot from layer to layer.
func measuredLayers(steps []recipe.BlendStep, dyes []wax.Dye) []MeasuredLayer {
	layers := make([]MeasuredLayer, len(steps))
	var before wax.Recipe
	for i, s := range steps {
		undyedG := s.Pot.UndyedG
		for _, p := range s.Pot.Recipe {
			has := before.Dose(p.Dye) * s.Left.UndyedG / undyedG
			if addsDye(s, p.Dye) && p.DoseGPerKg > has {
				d := dyeNamed(dyes, p.Dye)
				d.MaxDoseGPerKg = 0 // it is of the pot, not of what is added
				m := batch.Measure(d, p.DoseGPerKg-has, undyedG)
				layers[i].Adds = append(layers[i].Adds, m)
				has += m.ReachedGPerKg
			}
			if has > 0 {
				layers[i].Reached = append(layers[i].Reached, wax.Part{Dye: p.Dye, DoseGPerKg: has})
			}
		}
		before = layers[i].Reached
	}
	return layers
}

func addsDye(s recipe.BlendStep, dye string) bool {
	return slices.ContainsFunc(s.AddDyes, func(d recipe.DyeMass) bool { return d.Dye == dye })
}
