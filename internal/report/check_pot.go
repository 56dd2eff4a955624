package report

import (
	"fmt"
	"strings"

	"setshade/internal/batch"
	"setshade/internal/english"
	"setshade/internal/shade"
	"setshade/internal/workshop"
)

// PotCheck writes what liquid drops tell of their pots, and what to do.
func PotCheck(c Colours, a workshop.PotAnswer) string {
	var t text
	for i, d := range a.Drops {
		if i > 0 {
			t.line("")
		}
		t.potDrop(c, a, d)
	}
	t.line("")
	t.prose("", "%s", batch.HotWax)
	t.prose("", screensDiffer)
	return t.String()
}

func (t *text) potDrop(c Colours, a workshop.PotAnswer, d workshop.PotDrop) {
	planned := "doses not known"
	if d.Planned != nil {
		planned = DoseText(d.Planned)
	}
	t.prose("", "Drop %d, liquid: %s in %s", d.Number, planned, a.Wax.Name)
	piece := "a finished piece"
	if d.OnCard {
		piece = "a set drop on its card"
	}
	t.line("Shades are of %s; the interval holds 95 times in 100.", piece)
	table := NewTable(Column{}, Column{}, Column{})
	table.Row("liquid now", c.Shade(d.Liquid.Lab), "")
	table.Row("will set to", c.Shade(d.Set.Lab), within(d.Set.Within95))
	table.Row("promised", c.Shade(d.Promised), "")
	t.table("  ", table)
	t.line("  %s", LabText(d.Set.Lab))
	t.line("  %s, %s, %s", rangeOf(d.Set, 0), rangeOf(d.Set, 1), rangeOf(d.Set, 2))
	t.prose("", "The drop tells a dose of %s.", DoseText(d.Set.Recipe))
	if d.AgainstPlan {
		t.prose("", "That is not the dose planned, which the drop speaks against: check what was weighed.")
	}
	if d.ExplainedDE00 > a.ToleranceDE00 {
		t.prose("", "But no dose explains its colour: %s dE00 stay. Check which dyes are in the pot, and photograph another drop.", DE00(d.ExplainedDE00))
	}
	t.untested(d.Set.Untested)
	t.line("")
	t.prose("", "%s (%s dE00): it will miss the promise by %s, and lies within tolerance %s.",
		strings.ToUpper(string(d.Verdict[:1]))+string(d.Verdict[1:]), DE00(a.ToleranceDE00), DE00(d.MissDE00), chanceText(d.Chance))
	t.whatToDo(a, d)
}

// chanceText says a chance as so many times in 100.
func chanceText(chance float64) string {
	switch {
	case chance > 0.99:
		return "more than 99 times in 100"
	case chance < 0.01:
		return "less than once in 100"
	}
	return fmt.Sprintf("%.0f times in 100", 100*chance)
}

func (t *text) whatToDo(a workshop.PotAnswer, d workshop.PotDrop) {
	switch {
	case d.Verdict == shade.Keeps:
		t.prose("", "Pour%s.", pour(a.Wax))
	case d.Verdict == shade.Unsure:
		t.prose("", "Wait: drip a drop on white card, let it set, and read it from a photograph with: setshade record PHOTO --dry-run. Pour when it holds.")
	case d.Rescue == nil && len(d.Missing) > 0:
		t.prose("", "Do not pour: undyed wax brings it no nearer. Stir in %s, two thirds first, then photograph another drop.", missingText(a, d))
	case d.Rescue == nil:
		t.prose("", "Do not pour: undyed wax brings it no nearer; it needs dye. Stir in a little, then photograph another drop.")
	case !d.Rescue.InProportion(a.ToleranceDE00):
		t.prose("", "Do not pour: undyed wax would have to be %s times the pot, and then lies %s dE00 from the promise. Keep the pot as stock and make another.", significant(d.Rescue.Times(), 2), DE00(d.Rescue.MissDE00))
	default:
		t.prose("", "Do not pour. With %s of undyed wax more%s it comes to %s dE00 from the promise. The steps:", hold(Grams(d.Rescue.AddUndyedG)), perKg(a), DE00(d.Rescue.MissDE00))
		t.line("  %s", RescueCommand(a, d))
		t.limits(d.Rescue.Limits)
	}
}

// missingText lists the dye that the pot lacks, in grams.
func missingText(a workshop.PotAnswer, d workshop.PotDrop) string {
	kg := 1.0
	if a.UndyedG > 0 {
		kg = a.UndyedG / 1000
	}
	parts := make([]string, len(d.Missing))
	for i, p := range d.Missing {
		parts[i] = fmt.Sprintf("%s of %s", hold(significant(p.DoseGPerKg*kg, 2)+" g"), p.Dye)
	}
	return english.And(parts) + perKg(a)
}

func perKg(a workshop.PotAnswer) string {
	if a.UndyedG > 0 {
		return ""
	}
	return " for each kg in the pot"
}

// RescueCommand is the command that tells how to mend a pot, "" when none can.
func RescueCommand(a workshop.PotAnswer, d workshop.PotDrop) string {
	if d.Rescue == nil {
		return ""
	}
	mass := "GRAMS"
	if a.UndyedG > 0 {
		mass = significant(a.UndyedG, 6)
	}
	target := d.Promised
	return fmt.Sprintf("setshade rescue --wax %s --wax-mass %s --dose %s --target '%s %s %s'",
		Quoted(a.Wax.Name), mass, Quoted(DoseText(d.Set.Recipe)), fixed(target.L, 1), fixed(target.A, 1), fixed(target.B, 1))
}
