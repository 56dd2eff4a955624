package report

import (
	"slices"
	"strconv"
	"strings"

	"setshade/internal/batch"
	"setshade/internal/english"
	"setshade/internal/plan"
	"setshade/internal/recipe"
	"setshade/internal/spectrum"
	"setshade/internal/units"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// Ladder writes tints and the steps between them.
func Ladder(c Colours, l workshop.Ladder) string {
	var t text
	t.prose("", "%d tints in %s, each as far from the next; shades are of finished pieces.", len(l.Tints), l.Wax.Name)
	t.line("")
	table := NewTable(Column{"tint", true}, Column{"dose", false}, Column{"shade", false}, Column{"within", true}, Column{"next", true})
	var untested []string
	for i, s := range l.Tints {
		next := ""
		if i < len(l.StepsDE00) {
			next = DE00(l.StepsDE00[i])
		}
		table.Row(strconv.Itoa(i+1), stackedDose(s.Recipe), c.Shade(s.Lab), DE00(s.Within95), next)
		untested = joined(untested, s.Untested)
	}
	t.table("", table)
	t.line("")
	t.prose("", "Within: in dE00, 95 times in 100. Next: to the next tint, in dE00; %s.", workshop.Seen(slices.Min(l.StepsDE00)))
	t.untested(untested)
	t.roundedTints(c, l)
	t.line("")
	if l.Rounded != nil {
		t.prose("", "%s", batch.HotWax)
	}
	t.prose("", screensDiffer)
	return t.String()
}

// roundedTints lists what to measure out for each tint.
func (t *text) roundedTints(c Colours, l workshop.Ladder) {
	if l.Rounded == nil {
		return
	}
	t.line("")
	t.prose("", "In whole portions, for %s of undyed wax a tint:", hold(Grams(l.UndyedG)))
	t.line("")
	table := NewTable(Column{"tint", true}, Column{"dye", false}, Column{"shade", false}, Column{"rounding", true}, Column{"next", true})
	for i, r := range l.Rounded {
		next := ""
		if i+1 < len(l.Rounded) {
			next = DE00(spectrum.DE00(r.Reached.Lab, l.Rounded[i+1].Reached.Lab))
		}
		dyes := strings.ReplaceAll(measuredText(r.Dyes, "\n"), noBreak, " ")
		table.Row(strconv.Itoa(i+1), dyes, c.Shade(r.Reached.Lab), DE00(r.RoundingDE00), next)
	}
	t.table("", table)
	t.line("")
	t.prose("", "Rounding: from the tint above to what the portions reach, in dE00.")
}

// measuredText writes dyes as they are counted or weighed out.
func measuredText(dyes []batch.Measured, between string) string {
	var out []string
	for _, m := range dyes {
		amount := hold(Counted(m.Count, m.Unit)) + " " + m.Dye
		switch {
		case m.Count == 0:
			amount = "no " + m.Dye + ", too little to measure"
		case m.Unit == string(units.Gram):
			amount = hold(fixed(m.Count, 2)+" g") + " " + m.Dye
		default:
			amount += " (" + hold(Grams(m.G)) + ")"
		}
		out = append(out, amount)
	}
	if out == nil {
		return "none"
	}
	return strings.Join(out, between)
}

// stackedDose writes a dose with each dye on its own line of a table.
func stackedDose(r wax.Recipe) string { return strings.ReplaceAll(DoseText(r), " + ", " +\n") }

// joined adds the remarks that are not there yet.
func joined(remarks, more []string) []string {
	for _, r := range more {
		if !slices.Contains(remarks, r) {
			remarks = append(remarks, r)
		}
	}
	return remarks
}

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

// Next writes the drops worth making.
func Next(n workshop.NextDrops) string {
	var t text
	what := "everything on the shelf"
	if n.Wanted != nil {
		what = english.Plural(len(n.Wanted), "the dose", "the doses") + " you asked for"
	}
	t.prose("", "Drops worth making of %s, for %s", n.Wax.Name, what)
	t.line("")
	if len(n.Wanted) == 1 {
		t.nextForOne(n)
	} else {
		t.nextForMany(n)
	}
	if unseen := UnseenText(n); unseen != "" {
		t.prose("", "%s", unseen)
	}
	t.prose("", "Then: setshade record PHOTO, and setshade learn.")
	t.prose("", "%s", batch.HotWax)
	return t.String()
}

// UnseenText says that even the best drop tells little, "" when it tells enough.
func UnseenText(n workshop.NextDrops) string {
	if len(n.Drops) == 0 || n.Drops[0].FallDE00 >= unseenFall {
		return ""
	}
	return "No single drop makes these shades surer by as much as can be seen."
}

func (t *text) nextForOne(n workshop.NextDrops) {
	table := NewTable(Column{Title: "drop, set on white card"}, Column{"makes it surer by, dE00", true})
	for _, d := range n.Drops {
		table.Row(plan.FormatDose(d.Dose), fixed(d.FallDE00, 2))
	}
	t.table("", table)
	t.prose("", "The figure is by how much the uncertainty of the shade falls. Each drop is ranked as if it were the only one.")
}

func (t *text) nextForMany(n workshop.NextDrops) {
	table := NewTable(Column{Title: "drop, set on white card"}, Column{"average", true}, Column{"most", true}, Column{Title: "for"})
	for _, d := range n.Drops {
		table.Row(doseInLines(plan.FormatDose(d.Dose)), fixed(d.FallDE00, 2), fixed(d.ForFallDE00, 2), doseInLines(DoseText(d.For)))
	}
	t.table("", table)
	t.prose("", "Figures are in dE00: by how much the uncertainty of a shade falls, on average over all that is wanted, and most, for the dose named. Each drop is ranked as if it were the only one.")
}

// unseenFall is the fall in dE00 below which a drop is hardly worth its wax
// (common practice, no source).
const unseenFall = 0.1

// doseInLines breaks a dose at its plus signs, a dye to a line.
func doseInLines(dose string) string { return strings.ReplaceAll(dose, " + ", " +\n") }
