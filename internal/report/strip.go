package report

import (
	"fmt"

	"setshade/internal/workshop"
)

// Strips writes the strips that printed cards are taken to have; nothing when there
// are none.
func Strips(c Colours, strips []workshop.PrintStrip) string {
	var t text
	for _, s := range strips {
		t.line("Printed card %s, from %s, %s", s.Print, s.Name, s.KeptAt.UTC().Format("2006-01-02 15:04 UTC"))
		table := NewTable(Column{"patch", true}, Column{"L*", true}, Column{"a*", true}, Column{"b*", true}, Column{"shade", false})
		for i, lab := range s.Patches {
			if !lab.IsFinite() {
				table.Row(fmt.Sprint(i+1), "-", "-", "-", "not read")
				continue
			}
			table.Row(fmt.Sprint(i+1), fixed(lab.L, 1), fixed(lab.A, 1), fixed(lab.B, 1), c.Shade(lab))
		}
		t.table("", table)
	}
	return t.String()
}
