package report

import (
	"strings"

	"setshade/internal/batch"
	"setshade/internal/english"
	"setshade/internal/plan"
	"setshade/internal/workshop"
)

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
