package report

import (
	"fmt"
	"regexp"
	"strings"

	"setshade/internal/rescue"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// VerdictText says what to do with a batch that came out wrong.
func VerdictText(r workshop.Remedy) string {
	switch r.Verdict.Way {
	case rescue.MendIt:
		return "Mend it"
	case rescue.PourFresh:
		return "Pour a fresh batch, and keep this one as stock"
	}
	if r.Verdict.AsItIsDE00 > r.Verdict.NearDE00 {
		return "Pour it as it is, or keep it as stock: nothing that may be used brings it near"
	}
	return "Pour it as it is"
}

// OutOfProportionText says why the steps are not told unasked; "" where they are in
// proportion.
func OutOfProportionText(r workshop.Remedy) string {
	if r.Verdict.InProportion {
		return ""
	}
	return fmt.Sprintf("Mending would take %s times what is in the pot, and stays %s dE00 from wanted.", significant(r.Times(), 2), DE00(r.MissDE00))
}

// WayRow is one way to go on with a batch.
type WayRow struct{ Way, Undyed, Dye, Pot, DE00, Cost string }

// WayRows are the ways beside each other. What a way needs none of, or what has no
// price, is blank.
func WayRows(r workshop.Remedy) []WayRow {
	some := func(g float64) string {
		if g == 0 {
			return ""
		}
		return Grams(g)
	}
	row := func(way string, undyedG, dyeG, potG, de00, cost float64) WayRow {
		w := WayRow{way, some(undyedG), some(dyeG), Grams(potG), DE00(de00), ""}
		if cost > 0 {
			w.Cost = fixed(cost, 2)
		}
		return w
	}
	dyeG := 0.0
	for _, d := range r.AddDyes {
		dyeG += d.G
	}
	rows := []WayRow{
		row("mend it", r.AddUndyedG, dyeG, r.After.TotalG(), r.MissDE00, r.Cost),
		row("pour it as it is", 0, 0, r.Batch.TotalG(), r.Verdict.AsItIsDE00, 0),
	}
	if f := r.Verdict.Fresh; f != nil {
		rows = append(rows, row("pour fresh", f.UndyedG, f.DyeG(), f.TotalG(), f.MissDE00, f.Cost))
	}
	if r.AddedG() == 0 {
		return rows[1:]
	}
	return rows
}

// FreshText is the recipe of a fresh batch; "" where there is none.
func FreshText(r workshop.Remedy) string {
	f := r.Verdict.Fresh
	if f == nil {
		return ""
	}
	dyes := "no dye"
	if len(r.FreshDyes) > 0 {
		dyes = dyesText(r.FreshDyes)
	}
	text := fmt.Sprintf("%s into %s of undyed %s", dyes, hold(Grams(f.UndyedG)), r.Wax.Name)
	if g := f.FragranceG(); g > 0 {
		text += fmt.Sprintf(", with %s of fragrance", hold(Grams(g)))
	}
	return text
}

// verdict sets the ways beside each other, and says which to take.
func (t *text) verdict(r workshop.Remedy) {
	t.prose("", "%s.", VerdictText(r))
	if why := OutOfProportionText(r); why != "" {
		t.prose("", "%s", why)
	}
	table := NewTable(Column{"", false}, Column{"undyed wax", true}, Column{"dye", true}, Column{"in the pot", true}, Column{"dE00", true}, Column{"cost", true})
	for _, w := range WayRows(r) {
		table.Row(w.Way, w.Undyed, w.Dye, w.Pot, w.DE00, w.Cost)
	}
	t.table("  ", table)
	if fresh := FreshText(r); fresh != "" {
		t.prose("", "Fresh would be %s.", fresh)
	}
	if r.Verdict.Way != rescue.MendIt && r.Verdict.AsItIsDE00 > r.Verdict.NearDE00 {
		t.prose("", "Keep this batch on record as stock with")
		t.line("  %s", addStock(wax.Stock{Wax: r.Wax.Name, Batch: r.Batch}))
	}
	if len(r.Steps) == 0 && r.AddedG() > 0 {
		t.prose("", "The steps to mend it all the same: ask with --however-much.")
	}
}

var plainWord = regexp.MustCompile(`^[A-Za-z0-9_./:@%+,-]+$`)

// Quoted is a word of a command as a POSIX shell takes it (IEEE Std 1003.1, Shell
// Command Language, 2.2.2).
func Quoted(word string) string {
	if plainWord.MatchString(word) {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
