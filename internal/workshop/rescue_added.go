package workshop

import (
	"context"
	"fmt"
	"maps"
	"strings"

	"setshade/internal/plaintext"
	"setshade/internal/units"
	"setshade/internal/wax"
)

// AsTold stands for what the step told, where it was added so and no drop was read.
const AsTold = "as told"

// added is what truly went into the pot: what the step told, but for the amounts
// that the maker names, "undyed 120 g" or "Bracken 2 chips". Undyed wax is told
// without the fragrance and additives that follow it.
func (w *Workshop) added(ctx context.Context, told *Addition, named []string) (*Addition, error) {
	if len(named) == 0 || len(named) == 1 && plaintext.Same(named[0], AsTold) {
		return told, nil
	}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return nil, err
	}
	out := Addition{DyesG: map[string]float64{}}
	if told != nil {
		out.TakenOutG, out.UndyedG = told.TakenOutG, told.UndyedG
		maps.Copy(out.DyesG, told.DyesG)
	}
	seen := map[string]bool{}
	for _, text := range named {
		dye, massG, err := addedOf(text, dyes)
		switch {
		case err != nil:
			return nil, err
		case seen[dye.Name]:
			return nil, fmt.Errorf("%q names what was named before; add the two up", text)
		case dye.Name == "":
			out.UndyedG = massG
		default:
			out.DyesG[dye.Name] = massG
		}
		seen[dye.Name] = true
	}
	return &out, nil
}

// addedOf reads "undyed 120 g", for which the dye has no name, or "Bracken 2 chips".
// A name may end in a number: it is the shortest that stands on the shelf.
func addedOf(text string, shelf []wax.Dye) (wax.Dye, float64, error) {
	words := strings.Fields(text)
	for i := 1; i < len(words); i++ {
		name, amount := strings.Join(words[:i], " "), strings.Join(words[i:], " ")
		if strings.EqualFold(name, "undyed") {
			q, err := units.Parse(amount, units.Mass)
			if err != nil {
				return wax.Dye{}, 0, fmt.Errorf("undyed wax: %w", err)
			}
			return wax.Dye{}, q.Grams(), nil
		}
		for _, d := range shelf {
			if plaintext.Same(d.Name, name) {
				g, err := dyeG(amount, d)
				return d, g, err
			}
		}
	}
	return wax.Dye{}, 0, fmt.Errorf(`%.80q is neither undyed wax nor a dye on the shelf with its amount; write it like "undyed 120 g" or "Bracken 2 chips"`, text)
}

// dyeG reads an amount of a dye, by mass or in its own unit, in grams.
func dyeG(amount string, d wax.Dye) (float64, error) {
	if unit := d.Form.Unit(); unit != "" && d.UnitMassG > 0 {
		if q, err := units.Parse(amount, units.Count); err == nil && string(q.Unit) == unit {
			return q.Value * d.UnitMassG, nil
		}
	}
	q, err := units.Parse(amount, units.Mass)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", d.Name, err)
	}
	return q.Grams(), nil
}
