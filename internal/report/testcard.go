package report

import "setshade/internal/card"

// TestCard says what was written for printing, and how to print it.
func TestCard(file string, g card.Geometry) string {
	var t text
	t.prose("", "Wrote %s: the test card %s, %s by %s, with %d places for drops.", file, g.Print(),
		hold(Quantity(g.PaperMM.X, "mm")), hold(Quantity(g.PaperMM.Y, "mm")), len(g.Drops))
	t.prose("", "Print it at true scale (100 %%, not fitted to the page) on matt white card. Then lay a ruler on the printed one: it must measure %s; if it does not, print again.", hold(Quantity(card.RulerMM, "mm")))
	return t.String()
}
