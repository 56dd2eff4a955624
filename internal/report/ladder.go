package report

import (
	"slices"
	"strconv"
	"strings"

	"setshade/internal/batch"
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
