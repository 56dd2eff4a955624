package report

import (
	"strings"

	"setshade/internal/batch"
	"setshade/internal/english"
	"setshade/internal/units"
	"setshade/internal/workshop"
)

// Matched writes recipes for a colour, the best first.
func Matched(c Colours, m workshop.Matched) string {
	var t text
	t.line("Wanted: %s", c.Shade(m.Wanted))
	t.line("        %s", LabText(m.Wanted))
	piece := "a finished piece"
	if m.OnCard {
		piece = "a set drop on its card"
	}
	t.prose("", "For %s of undyed %s. Shades are of %s; intervals hold 95 times in 100.", hold(Grams(m.UndyedG)), m.Wax.Name, piece)
	t.stops(m)
	for i, a := range m.Answers {
		t.line("\nRecipe %d", i+1)
		t.answer(c, m, a)
	}
	t.line("")
	t.prose("", "%s", batch.HotWax)
	if m.Load.Percent > 0 {
		t.prose("", "%s", batch.FlashPoint)
	}
	t.prose("", screensDiffer)
	return t.String()
}

// stops says in which order recipes come, or what keeps the shelf from the
// colour.
func (t *text) stops(m workshop.Matched) {
	if m.Reach.Reached {
		first := "the cheapest is first"
		if len(m.Answers) > 0 && m.Answers[0].Stock != nil {
			first = "the ones that use up most of a stock come first, then the cheapest"
		}
		t.prose("", "Recipes within %s dE00 of it count as equally near; of those %s.", DE00(m.ToleranceDE00), first)
		return
	}
	t.line("")
	t.prose("", "These dyes do not come within %s dE00 of it. The nearest is recipe 1. What stops them:", DE00(m.ToleranceDE00))
	for _, why := range m.Reach.Why {
		t.prose("  ", "%s", sentence(why))
	}
}

// answer writes one recipe.
func (t *text) answer(c Colours, m workshop.Matched, a workshop.MatchedRecipe) {
	t.measured(a)
	t.whole(a)
	looks := NewTable(Column{}, Column{})
	looks.Row("wanted", c.Shade(m.Wanted))
	looks.Row("this", c.Shade(a.Shade.Lab))
	t.table("  ", looks)
	t.prose("  ", "%s dE00 from wanted: %s. Within %s dE00 of what is shown, 95 times in 100.", DE00(a.DE00), workshop.Seen(a.DE00), DE00(a.Shade.Within95))
	t.priced(a)
	t.table("  ", lightsTable(c, a.Shade))
	switch {
	case a.OffTarget != nil:
		for _, off := range a.OffTarget {
			t.prose("  ", "%s", sentence(off))
		}
	default:
		for _, shift := range a.Shifts {
			t.prose("  ", "%s", sentence("it shifts: "+shift))
		}
	}
	t.untested(a.Shade.Untested)
}

// measured lists what to measure out.
func (t *text) measured(a workshop.MatchedRecipe) {
	if len(a.Portions) == 0 && a.Stock == nil {
		t.line("  undyed wax alone")
		return
	}
	t.stockTaken(a)
	table := NewTable(Column{}, Column{Right: true}, Column{Right: true}, Column{Right: true}, Column{})
	for i, p := range a.Portions {
		amount, mass, most := fixed(p.Count, 2)+" g", "", ""
		if p.Unit != string(units.Gram) {
			amount, mass = Counted(p.Count, p.Unit), Grams(p.G)
		}
		if a.Amounts[i].AtMaximum {
			most = "its most"
		}
		table.Row(p.Dye, amount, mass, Dose(a.Amounts[i].DoseGPerKg), most)
	}
	t.table("  ", table)
}

// stockTaken says what to take of dyed wax set aside, and what is added to it.
func (t *text) stockTaken(a workshop.MatchedRecipe) {
	if a.Stock == nil {
		return
	}
	all := ""
	if a.Stock.UsedUp {
		all = ", all of it"
	}
	add := []string{hold(Grams(a.AddUndyedG)) + " undyed wax"}
	if a.AddFragranceG > 0 {
		add = append(add, hold(Grams(a.AddFragranceG))+" fragrance")
	}
	dyes := "; no dye is needed."
	if len(a.Portions) > 0 {
		dyes = ", and this dye:"
	}
	t.prose("  ", "Use %s of stock %d%s (%s), add %s%s", hold(Grams(a.Stock.Taken.TotalG())), a.Stock.Stock.Number, all, DoseText(a.Stock.Stock.Recipe), strings.Join(add, ", "), dyes)
}

// whole says what a recipe with stock comes to.
func (t *text) whole(a workshop.MatchedRecipe) {
	if a.Stock != nil {
		t.prose("  ", "Together %s, the dyes then %s: %s.", hold(Grams(a.Batch.TotalG())), DoseText(a.Recipe), contents(a.Batch))
	}
}

// priced says what the dyes of a recipe cost for the batch.
func (t *text) priced(a workshop.MatchedRecipe) {
	its := "Its dyes cost"
	if a.Stock != nil {
		its = "The dyes added cost"
	}
	switch {
	case len(a.Portions) == 0:
	case len(a.Unpriced) == len(a.Portions):
		t.line("  No price of its dyes is recorded.")
	case len(a.Unpriced) > 0:
		t.prose("  ", "%s %s, without %s, of which no price is recorded.", its, dyeCost(a.Price), english.And(a.Unpriced))
	default:
		t.line("  %s %s for the batch.", its, dyeCost(a.Price))
	}
}

// dyeCost writes what dyes cost, which is never nothing.
func dyeCost(price float64) string {
	if price < 0.005 {
		return "less than 0.01"
	}
	return money(price)
}
