package report

import (
	"fmt"

	"setshade/internal/shade"
	"setshade/internal/workshop"
)

const screensDiffer = "Screens differ: blocks and hex are a rough guide. Judge the wax by a set drop on white card, in daylight."

// Forecast writes the shade of a dose.
func Forecast(c Colours, f workshop.Forecast) string {
	var t text
	t.line("%s in %s, set", DoseText(f.Recipe), f.Wax.Name)
	t.shade(c, "Finished piece", f.Piece)
	t.shade(c, "Test drop on white card", f.Drop)
	t.line("\nThe finished piece under other lights")
	t.table("  ", lightsTable(c, f.Piece))
	t.untested(f.Piece.Untested)
	t.line("")
	t.prose("", screensDiffer)
	return t.String()
}

// shade writes a shade with its interval.
func (t *text) shade(c Colours, title string, s shade.Shade) {
	t.line("\n%s", title)
	t.line("  %s", c.Shade(s.Lab))
	t.line("  %s", LabText(s.Lab))
	t.line("  95 times in 100 within %s dE00,", DE00(s.Within95))
	t.line("  %s, %s, %s", rangeOf(s, 0), rangeOf(s, 1), rangeOf(s, 2))
}

// rangeOf writes the 95 % interval of one coordinate.
func rangeOf(s shade.Shade, coordinate int) string {
	from, to := s.Range95(coordinate)
	return fmt.Sprintf("%s %s to %s", [...]string{"L*", "a*", "b*"}[coordinate], fixed(from, 1), fixed(to, 1))
}

func lightsTable(c Colours, s shade.Shade) *Table {
	table := NewTable(Column{"light", false}, Column{"looks", false}, Column{"shift, dE00", true})
	for _, l := range s.Lights {
		table.Row(workshop.LightName(l.Light), c.Shade(l.Lab), DE00(l.ShiftDE00))
	}
	return table
}

// untested says aloud where a recipe leaves what was tested.
func (t *text) untested(remarks []string) {
	if len(remarks) == 0 {
		return
	}
	t.line("\nOutside what was tested:")
	for _, r := range remarks {
		t.prose("  ", "%s", sentence(r))
	}
	t.line("  Make a test drop before you rely on it.")
}
