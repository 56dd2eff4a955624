package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"setshade/internal/batch"
	"setshade/internal/english"
	"setshade/internal/units"
	"setshade/internal/workshop"
)

// BenchSheet is the plan of a batch in words, the same on a terminal, as HTML
// and as PDF.
type BenchSheet struct {
	Title string
	// At is when the plan was made, Date its day in words.
	At     time.Time
	Date   string
	Totals string
	Pots   []sheetPot
	// Load tells both readings of the fragrance load; nil without fragrance.
	Load  []string
	Steps []sheetStep
	Ready string
	Cost  string
	// Lots are what the batch is made of, with the lot on record.
	Lots []sheetLot
	// Notes say what the plan takes for granted.
	Notes []string
	// Colours says how far the shades can be trusted; "" when there are none.
	Colours string
}

// sheetPot is one colour.
type sheetPot struct {
	// Title names it and what it makes.
	Title string
	Adds  []sheetAmount
	// Hex and Word are the shade, Shade what is to be said of it; Hex is "" when
	// it was not learned.
	Hex, Word, Shade string
}

// sheetAmount is one thing to weigh or count, and what is to be said of it.
type sheetAmount struct{ Amount, What, Said string }

// sheetStep is one thing to do.
type sheetStep struct {
	Number         int
	Do, When, Adds string
	Cautions       []string
}

// sheetLot is a thing with its lot, "" when none is on record.
type sheetLot struct{ What, Lot string }

// NewBenchSheet words the plan of a batch.
func NewBenchSheet(p workshop.BatchPlan) BenchSheet {
	s := p.Sheet
	sheet := BenchSheet{
		Title:  fmt.Sprintf("%s in %s", portionsText(pieces(s), p.Portion), s.Wax.Name),
		At:     p.PlannedAt,
		Date:   p.PlannedAt.Format("2 January 2006"),
		Totals: totalsText(s),
		Load:   loadLines(s), Cost: costText(s.Cost, p.Portion), Notes: s.Notes,
		Lots: lotsOf(p),
	}
	for i, pot := range s.Pots {
		sheet.Pots = append(sheet.Pots, sheetPotOf(pot, p.Shades[i], p.Portion))
	}
	if slices.ContainsFunc(p.Shades, func(s workshop.PotShade) bool { return s.Known }) {
		sheet.Colours = "Shades are of a finished piece; intervals hold 95 times in 100. " + screensDiffer
	}
	for i, step := range s.Steps {
		sheet.Steps = append(sheet.Steps, sheetStepOf(i+1, step))
	}
	if s.Ready.Known {
		sheet.Ready = fmt.Sprintf("Ready %s after pouring.", hold(s.Ready.String()))
	}
	return sheet
}

func pieces(s batch.Sheet) float64 {
	sum := 0.0
	for _, p := range s.Pots {
		sum += p.Portions
	}
	return sum
}

func portionsText(n float64, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return significant(n, 6) + " " + one + "s"
}

// totalsText says what all of it is; what there is none of is left out.
func totalsText(s batch.Sheet) string {
	text := hold(Grams(s.TotalG)) + " in all: " + hold(Grams(s.UndyedG)) + " undyed wax"
	if s.DyeG > 0 {
		text += ", " + hold(Grams(s.DyeG)) + " dye"
	}
	if s.FragranceG > 0 {
		text += ", " + hold(Grams(s.FragranceG)) + " fragrance"
	}
	for _, a := range s.Additives {
		text += ", " + hold(Grams(a.MassG(s.UndyedG))) + " " + a.Name
	}
	text += fmt.Sprintf("; molten %s.", hold(millilitres(s.MoltenML)))
	if s.LossG > 0 {
		text += fmt.Sprintf(" %s of it is allowed for loss.", hold(Grams(s.LossG)))
	}
	return text
}

func millilitres(ml float64) string { return fixed(ml, 0) + " ml" }

// loadLines tells what the load means per wax and per total.
func loadLines(s batch.Sheet) []string {
	if s.Readings == nil {
		return nil
	}
	return []string{
		fmt.Sprintf("Fragrance at %s: %s, %s. (Per wax %s, per total %s.)", hold(s.Load.String()), hold(Grams(s.FragranceG)),
			hold(millilitres(s.FragranceML)), hold(Grams(s.Readings.PerWaxG)), hold(Grams(s.Readings.PerTotalG))),
		s.Readings.Explained,
	}
}

func sheetPotOf(pot batch.Pot, shade workshop.PotShade, portion string) sheetPot {
	out := sheetPot{Title: fmt.Sprintf("%s, %s", portionsText(pot.Portions, portion), Grams(pot.TotalG()))}
	if pot.Name != "" {
		out.Title = pot.Name + ": " + out.Title
	}
	out.Adds = []sheetAmount{{Amount: Grams(pot.UndyedG), What: "undyed wax"}}
	for _, a := range pot.Additives {
		out.Adds = append(out.Adds, sheetAmount{Grams(a.MassG(pot.UndyedG)), a.Name, significant(a.Percent, 3) + " % of the wax"})
	}
	for _, m := range pot.Dyes {
		out.Adds = append(out.Adds, dyeAmount(m))
	}
	if f := pot.FragranceG(); f > 0 {
		out.Adds = append(out.Adds, sheetAmount{Amount: Grams(f), What: "fragrance"})
	}
	if !shade.Known {
		return out
	}
	lab := shade.Reached.Lab
	out.Hex, out.Word = lab.Hex(), ColourWord(lab)
	out.Shade = within(shade.Reached.Within95)
	if len(pot.Dyes) > 0 {
		out.Shade += fmt.Sprintf("; rounding the dye costs %s dE00", DE00(shade.RoundingDE00))
	}
	if len(shade.Reached.Untested) > 0 {
		out.Shade += "; outside what was tested, so drip a test drop first"
	}
	return out
}

// dyeAmount is a dye as it is counted or weighed out, with the dose it reaches.
func dyeAmount(m batch.Measured) sheetAmount {
	a := sheetAmount{Amount: Counted(m.Count, m.Unit), What: m.Dye}
	if m.Count == 0 {
		a.Amount, a.Said = "none", "too little to measure"
		return a
	}
	reached, asked := significant(m.ReachedGPerKg, 3), significant(m.AskedGPerKg, 3)
	if m.Unit != string(units.Gram) {
		a.Said = Grams(m.G) + ", "
	}
	a.Said += reached + " g/kg"
	if reached != asked {
		a.Said += ", " + asked + " asked"
	}
	return a
}

// Counted writes what is measured out, to the last digit of scale or count: "1 1/2
// chips", "0.37 g".
func Counted(n float64, unit string) string {
	return units.Quantity{Value: n, Unit: units.Unit(unit)}.String()
}

func sheetStepOf(number int, s batch.Step) sheetStep {
	var adds []string
	for _, a := range s.Adds {
		text := Grams(a.G)
		if a.Unit != string(units.Gram) {
			text = Counted(a.Count, a.Unit)
		}
		text = hold(text) + " " + a.What
		if a.Pot != "" {
			text += " into " + a.Pot
		}
		adds = append(adds, text)
	}
	return sheetStep{Number: number, Do: s.Do, When: whenText(s), Adds: strings.Join(adds, "; "), Cautions: s.Cautions}
}

// whenText is the temperature and time of a step from the wax's record, and what
// of them is not recorded.
func whenText(s batch.Step) string {
	var known, out []string
	add := func(f batch.Figure, format string) {
		if f.Known && f.Value > 0 {
			known = append(known, fmt.Sprintf(format, hold(f.String())))
		}
	}
	add(s.At, "at %s")
	add(s.Lasts, "for %s")
	add(s.Starts, "from %s after pouring")
	if known != nil {
		out = append(out, sentence(strings.Join(known, ", ")))
	}
	if s.At.Unit != "" && !s.At.Known {
		out = append(out, sentence("temperature "+batch.NotRecorded))
	}
	if s.Lasts.Unit != "" && !s.Lasts.Known {
		out = append(out, sentence("time "+batch.NotRecorded))
	}
	return strings.Join(out, " ")
}

func costText(c batch.Cost, portion string) string {
	text := "no price is recorded"
	if c.Total() > 0 {
		text = pricedText(c)
	}
	if c.PerPiece > 0 {
		text += fmt.Sprintf(", %s a %s", money(c.PerPiece), portion)
	}
	if c.Selling > 0 {
		text += fmt.Sprintf(", to be sold at %s a %s", money(c.Selling), portion)
	}
	if len(c.Unpriced) > 0 && c.Total() > 0 {
		text += ", without " + english.And(c.Unpriced) + ", of which no price is recorded"
	}
	return text + "."
}

// pricedText is the sum of what has a price.
func pricedText(c batch.Cost) string {
	var parts []string
	for _, part := range []struct {
		what string
		cost float64
	}{{"wax", c.Wax}, {"dye", c.Dye}, {"fragrance", c.Fragrance}} {
		if part.cost > 0 {
			parts = append(parts, part.what+" "+money(part.cost))
		}
	}
	return fmt.Sprintf("%s: %s in all", strings.Join(parts, ", "), money(c.Total()))
}

// money writes a sum in the maker's own currency.
func money(v float64) string { return fixed(v, 2) }

func lotsOf(p workshop.BatchPlan) []sheetLot {
	lots := []sheetLot{{What: p.Sheet.Wax.Name}}
	for _, d := range p.Dyes {
		lots = append(lots, sheetLot{d.Name, d.Lot})
	}
	for _, a := range p.Sheet.Additives {
		lots = append(lots, sheetLot{What: a.Name})
	}
	if p.Sheet.FragranceG > 0 {
		lots = append(lots, sheetLot{What: "fragrance"})
	}
	return lots
}

// BatchPlan writes the plan of a batch for a terminal.
func BatchPlan(c Colours, p workshop.BatchPlan) string {
	sheet := NewBenchSheet(p)
	var t text
	t.line("%s", sheet.Title)
	t.prose("", "%s", sheet.Totals)
	for i, pot := range sheet.Pots {
		t.line("")
		t.prose("", "%s", pot.Title)
		table := NewTable(Column{Right: true}, Column{}, Column{})
		for _, a := range pot.Adds {
			table.Row(a.Amount, a.What, a.Said)
		}
		t.table("  ", table)
		if pot.Hex != "" {
			t.line("  %s", c.Shade(p.Shades[i].Reached.Lab))
			t.prose("  ", "%s", sentence(pot.Shade))
		}
	}
	t.line("")
	for _, l := range sheet.Load {
		t.prose("", "%s", l)
	}
	if sheet.Load != nil {
		t.line("")
	}
	for _, s := range sheet.Steps {
		t.sheetStep(s)
	}
	if sheet.Ready != "" {
		t.line("%s", strings.ReplaceAll(sheet.Ready, noBreak, " "))
	}
	t.line("")
	t.prose("", "Cost: %s", sheet.Cost)
	t.line("")
	for _, n := range sheet.Notes {
		t.prose("", "%s", n)
	}
	if sheet.Colours != "" {
		t.prose("", "%s", sheet.Colours)
	}
	return t.String()
}

func (t *text) sheetStep(s sheetStep) {
	lead := fmt.Sprintf("%d. ", s.Number)
	t.prose(lead, "%s", strings.TrimSpace(s.Do+" "+s.When))
	under := strings.Repeat(" ", len(lead))
	if s.Adds != "" {
		t.prose(under, "%s.", s.Adds)
	}
	for _, c := range s.Cautions {
		t.prose(under+"! ", "%s", c)
	}
}
