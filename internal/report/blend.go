package report

import (
	"setshade/internal/batch"
	"setshade/internal/english"
	"setshade/internal/recipe"
	"setshade/internal/workshop"
)

// Blend writes layers poured from one pot as steps at the bench.
func Blend(c Colours, b workshop.Blend) string {
	var t text
	layers := english.Count(len(b.Steps), "layer", "layers")
	t.prose("", "%s of %s from one pot, with nothing left at the end. Masses count wax, dye and fragrance.", layers, b.Wax.Name)
	t.prose("", "%s", batch.HotWax)
	if b.Steps[0].Pot.Load.Percent > 0 {
		t.prose("", "%s", batch.FlashPoint)
	}
	var untested []string
	for i, s := range b.Steps {
		t.line("\nLayer %d: %s", i+1, DoseText(s.Pour.Recipe))
		if b.Shades != nil {
			t.line("  %s, %s", c.Shade(b.Shades[i].Lab), within(b.Shades[i].Within95))
			untested = joined(untested, b.Shades[i].Untested)
		}
		t.layer(s, b.Measured[i])
		if b.Shades != nil && b.Measured[i].RoundingDE00 >= 0.05 {
			t.prose("  ", "Rounding the dye costs %s dE00.", DE00(b.Measured[i].RoundingDE00))
		}
	}
	t.untested(untested)
	if b.Shades != nil {
		t.line("")
		t.prose("", screensDiffer)
	}
	return t.String()
}

// layer says what to add and what to pour.
func (t *text) layer(s recipe.BlendStep, m workshop.MeasuredLayer) {
	left := "Into an empty pot"
	if s.Left.UndyedG > 0 {
		left = "To the " + hold(Grams(s.Left.TotalG())) + " left in the pot"
	}
	var adds []string
	if s.AddUndyedG > 0 {
		adds = append(adds, hold(Grams(s.AddUndyedG))+" undyed wax")
	}
	if m.Adds != nil {
		adds = append(adds, measuredText(m.Adds, ", "))
	}
	if s.AddFragranceG > 0 {
		adds = append(adds, hold(Grams(s.AddFragranceG))+" fragrance")
	}
	if len(adds) == 0 {
		adds = []string{"nothing"}
	}
	t.prose("  ", "%s add %s, and stir.", left, english.And(adds))
	t.prose("  ", "The pot then holds %s; pour %s of it.", hold(Grams(s.Pot.TotalG())), hold(Grams(s.Pour.TotalG())))
}
