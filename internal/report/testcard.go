package report

import (
	"fmt"

	"setshade/internal/card"
	"setshade/internal/english"
)

// TestCard says what was written for printing, and how to print it; the sheet is nil
// for paper of the card's size.
func TestCard(file string, g card.Geometry, sheet *card.Layup) string {
	var t text
	t.prose("", "Wrote %s: the test card %s, %s by %s, with %d places for drops.", file, g.Print(),
		hold(Quantity(g.PaperMM.X, "mm")), hold(Quantity(g.PaperMM.Y, "mm")), len(g.Drops))
	if sheet != nil {
		t.prose("", "It is a sheet of %s with %s on it, to cut along the grey marks.", sheet.Sheet, english.Count(len(sheet.Corners), "card", "cards"))
	}
	t.prose("", "%s", TrueScaleText())
	return t.String()
}

// TrueScaleText says how to print the card, and how to see that it came out right.
func TrueScaleText() string {
	return fmt.Sprintf("Print it at true scale (100 %%, not fitted to the page) on matt white card. Then lay a ruler on the printed one: it must measure %s; if it does not, print again.", hold(Quantity(card.RulerMM, "mm")))
}
