package workshop

import (
	"context"
	"fmt"
	"io/fs"
	"strings"

	"setshade/internal/wax"
	"setshade/swatches"
)

// Demo is the main job done once on the photographs of Harrow Lane Wax, which
// are rendered and invented (see package swatches).
type Demo struct {
	Photographs int
	// Set and Liquid count the drops read, Checks those of them kept back.
	Set, Liquid, Checks int
	Lesson              Lesson
	// Story tells what went wrong with a batch, Remedy what mends it.
	Story  string
	Remedy Remedy
}

// Demo fills an empty store with the shipped shelf and photographs, learns,
// and rescues the over-dyed batch. Progress is called before each photograph
// and each fit, if not nil.
func (w *Workshop) Demo(ctx context.Context, progress func(what string, done, of int)) (Demo, error) {
	if progress == nil {
		progress = func(string, int, int) {}
	}
	var d Demo
	if err := w.stockShelf(ctx); err != nil {
		return d, err
	}
	photographs, err := fs.Glob(swatches.Files, "*.jpg")
	if err != nil {
		return d, err
	}
	for i, name := range photographs {
		progress("reading photographs", i, len(photographs))
		card, err := shippedCard(name)
		if err != nil {
			return d, err
		}
		reading, err := w.Record(ctx, card)
		if err != nil {
			return d, err
		}
		d.count(reading)
	}
	d.Lesson, err = w.Learn(ctx, "", func(done, of int) { progress("leaving each drop out once", done, of) })
	if err != nil {
		return d, err
	}
	trouble := swatches.Rescue()
	d.Story = trouble.Story
	d.Remedy, _, err = w.Rescue(ctx, Trouble{
		UndyedG: trouble.Batch.UndyedG, Load: trouble.Batch.Load, Dose: trouble.Batch.Recipe.String(),
		Target: trouble.Target.Hex(), Means: Means{PotG: trouble.PotG, ToleranceDE00: SeenSideBySide},
	})
	return d, err
}

func (w *Workshop) stockShelf(ctx context.Context) error {
	if err := w.Store.Waxes.Add(ctx, swatches.Wax()); err != nil {
		return err
	}
	for _, dye := range swatches.Dyes() {
		if err := w.Store.Dyes.Add(ctx, dye); err != nil {
			return err
		}
	}
	return w.Store.Moulds.Add(ctx, swatches.Mould())
}

// shippedCard takes a photograph and its plan from the program itself.
func shippedCard(name string) (Card, error) {
	planName := strings.TrimSuffix(name, ".jpg") + ".plan"
	photograph, err := swatches.Files.ReadFile(name)
	if err != nil {
		return Card{}, fmt.Errorf("the shipped photograph %s is missing: %w", name, err)
	}
	text, err := swatches.Files.ReadFile(planName)
	if err != nil {
		return Card{}, fmt.Errorf("the shipped plan %s is missing: %w", planName, err)
	}
	return Card{PhotoName: name, PlanName: planName, Photo: photograph, PlanText: string(text)}, nil
}

func (d *Demo) count(r Reading) {
	d.Photographs++
	for _, s := range r.Swatches {
		if s.State == wax.SetState {
			d.Set++
		} else {
			d.Liquid++
		}
		if s.Check && s.State == wax.SetState {
			d.Checks++
		}
	}
}
