package report

import (
	"fmt"

	"setshade/internal/wax"
)

// Stocks writes the dyed wax set aside; nothing when there is none.
func Stocks(stocks []wax.Stock) string {
	if len(stocks) == 0 {
		return ""
	}
	var t text
	table := NewTable(Column{"stock", true}, Column{"wax", false}, Column{"left", true}, Column{"dose", false}, Column{"fragrance", false}, Column{"note", false})
	for _, s := range stocks {
		load := "none"
		if s.Load.Percent > 0 {
			load = s.Load.String()
		}
		table.Row(fmt.Sprint(s.Number), s.Wax, Grams(s.TotalG()), stackedDose(s.Recipe), load, s.Note)
	}
	t.table("", table)
	return t.String()
}

// Stock writes everything on record of a stock.
func Stock(s wax.Stock) string {
	var t text
	t.line("Stock %d, %s, set aside %s", s.Number, s.Wax, dayText(s.SetAsideAt))
	t.line("  %s left", Grams(s.TotalG()))
	t.prose("  ", "%s.", contents(s.Batch))
	t.prose("  ", "Its dose: %s.", DoseText(s.Recipe))
	if s.Note != "" {
		t.prose("  ", "%s", s.Note)
	}
	return t.String()
}

// StockUsed says what was taken from a stock and what is left of it, nil for
// nothing.
func StockUsed(taken wax.Stock, left *wax.Stock) string {
	var t text
	t.prose("", "Used %s of stock %d: %s.", hold(Grams(taken.TotalG())), taken.Number, contents(taken.Batch))
	if left == nil {
		t.prose("", "It is used up and taken off the list; its number is not given again.")
		return t.String()
	}
	t.line("%s of it are left.", Grams(left.TotalG()))
	return t.String()
}

// additiveText is an additive as it is weighed out.
func additiveText(a wax.Additive, undyedG float64) string {
	return fmt.Sprintf("%s %s (%s)", hold(Grams(a.MassG(undyedG))), a.Name, hold(significant(a.Percent, 3)+" % of the wax"))
}
