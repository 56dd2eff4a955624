package report

import (
	"setshade/internal/batch"
	"setshade/internal/workshop"
)

// Demo tells the demo's story: what was recorded, what was learned, predicted
// beside measured for drops never learned from, and the rescue of a batch.
func Demo(c Colours, d workshop.Demo) string {
	var t text
	t.prose("", "Harrow Lane Wax is an invented workshop: its wax and dyes are no products, and its photographs are rendered by the physics of light in wax, not taken. What follows is computed from those photographs alone.")
	t.line("\n1. Record the test drops")
	t.prose("   ", "%d photographs of white card: %d set drops and %d liquid ones read. Of the set drops %d are kept back and never learned from.", d.Photographs, d.Set, d.Liquid, d.Checks)
	t.line("\n2. Learn what each dye does to %s", d.Lesson.Wax.Name)
	t.indented("   ", func(in *text) { in.tested(d.Lesson) })
	t.line("\n3. Predict the drops kept back")
	t.indented("   ", func(in *text) { in.briefChecks(c, d.Lesson) })
	t.line("\n4. Rescue a batch that came out too dark")
	t.prose("   ", "%s", d.Story)
	t.indented("   ", func(in *text) {
		in.outcome(c, d.Remedy)
		in.briefSteps(d.Remedy)
		in.limits(d.Remedy.Limits)
	})
	return t.String()
}

// briefSteps writes what to add in a few lines; the rescue command writes every
// step.
func (t *text) briefSteps(r workshop.Remedy) {
	with := ""
	if len(r.Dyes) > 0 {
		with = " with " + dyesText(r.Dyes)
	}
	t.prose("", "Add %s of undyed wax%s and %s of fragrance, which keeps the load at %s: two thirds first, then drip, read, and the rest. In the pot then %s.",
		hold(Grams(r.AddUndyedG)), with, hold(Grams(r.AddFragranceG)), hold(r.After.Load.String()), hold(Grams(r.After.TotalG())))
	t.prose("", "%s", batch.HotWax)
	t.prose("", "%s", batch.FlashPoint)
}

// briefChecks writes each check drop in one line.
func (t *text) briefChecks(c Colours, l workshop.Lesson) {
	table := NewTable(Column{DoseTitle, false}, Column{"predicted", false}, Column{"measured", false},
		Column{"dE00", true}, Column{"95 % within", true})
	for _, k := range l.Checks {
		within := DE00(k.Within95)
		if !k.Held() {
			within += " missed"
		}
		table.Row(DoseCell(k.Swatch.Recipe), c.Shade(k.Predicted.Lab), c.Patch(k.Swatch.Colour.Lab), DE00(k.MissDE00), within)
	}
	t.table("", table)
	m := l.CheckMisses()
	t.prose("", "Median miss %s dE00, worst %s; %d of %d inside the 95 %% interval. Below %.0f is %s.",
		DE00(m.MedianDE00), DE00(m.WorstDE00), l.ChecksHeld(), m.Count, workshop.HardlySeen, workshop.Seen(0))
}
