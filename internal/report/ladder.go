package report

import (
	"slices"
	"strconv"
	"strings"

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
	t.line("")
	t.prose("", screensDiffer)
	return t.String()
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
