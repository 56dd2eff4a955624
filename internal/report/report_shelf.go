package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"setshade/internal/english"
	"setshade/internal/plan"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// ShelfHTML writes the report of the shelf as one HTML file that needs no other.
func ShelfHTML(w io.Writer, r workshop.ShelfReport) error {
	d, err := shelfDocument(r)
	if err != nil {
		return err
	}
	return d.writeHTML(w)
}

// ShelfPDF writes the report of the shelf as a PDF for A4 and Letter.
func ShelfPDF(w io.Writer, r workshop.ShelfReport) error {
	d, err := shelfDocument(r)
	if err != nil {
		return err
	}
	return d.writePDF(w)
}

func shelfDocument(r workshop.ShelfReport) (document, error) {
	d := document{title: "The shelf", under: "What is known of the dyes in every wax.", at: r.At}
	if len(r.Waxes) == 1 {
		d.title, d.under = "The shelf in "+r.Waxes[0].Wax.Name, "What is known of the dyes in one wax."
	}
	for _, of := range r.Waxes {
		sections, err := waxSections(of)
		if err != nil {
			return document{}, err
		}
		if len(r.Waxes) > 1 {
			for i := range sections {
				sections[i].title = of.Wax.Name + ": " + strings.ToLower(sections[i].title[:1]) + sections[i].title[1:]
			}
		}
		d.sections = append(d.sections, sections...)
	}
	return d, nil
}

func waxSections(r workshop.WaxReport) ([]section, error) {
	if r.Lesson == nil {
		return []section{unlearnedSection(r)}, nil
	}
	reach, err := reachSection(r)
	if err != nil {
		return nil, err
	}
	out := []section{dyesSection(r), reach, besideSection(*r.Lesson), nextSection(r)}
	if len(r.Unlearned) > 0 {
		out = append(out, unlearnedSection(r))
	}
	if len(r.Notes) > 0 {
		out = append(out, section{"Notes", []block{sentences(r.Notes)}})
	}
	return out, nil
}

// dyesSection shows each dye from pale to strong.
func dyesSection(r workshop.WaxReport) section {
	table := grid{Titles: []string{"dye", "form", "drops", "tested, g/kg", "typical miss, dE00", "worst miss, dE00"}}
	s := section{title: "The dyes"}
	for _, d := range r.Dyes {
		typical, worst := MissTexts(*r.Lesson, d.Name)
		table.Rows = append(table.Rows, []cell{{Text: d.Name}, {Text: string(d.Dye.Form)}, {Text: fmt.Sprint(d.Drops)}, {Text: rangeText(d.DyeRange)}, {Text: typical}, {Text: worst}})
	}
	s.blocks = append(s.blocks, table, prose("Misses: each set drop was left out of the fit once and then predicted. Below, the predicted shade of a finished piece from the lowest dose tested to the highest."))
	for _, d := range r.Dyes {
		row := swatchRow{Title: d.Name}
		for _, dose := range d.Doses {
			p := shadePatch(amountText(dose.Dose.Value, dose.Dose.Unit), dose.Piece.Lab)
			if dose.Dose.Unit != plan.Gram {
				p.Lines = append([]string{Dose(dose.GPerKg)}, p.Lines...)
			}
			p.Lines = append(p.Lines, within(dose.Piece.Within95))
			row.Patches = append(row.Patches, p)
		}
		s.blocks = append(s.blocks, row)
	}
	return s
}

// reachSection draws which colours the dyes reach.
func reachSection(r workshop.WaxReport) (section, error) {
	var curves []namedCurve
	var names []string
	for _, d := range r.Dyes {
		curves, names = append(curves, namedCurve{d.Name, d.Curve}), append(names, d.Name)
	}
	p, err := pictureOf(plane(*r.Lesson, curves), planeWide, planeWide,
		"The a*b* plane with a line from undyed wax outward for each of "+english.And(names)+", and the drops as discs.",
		"Right is red, left green, up yellow, down blue; the middle is grey, and further out is stronger. Mixtures of two dyes lie between their lines; what no line comes near, this shelf does not reach.")
	return section{"What the shelf reaches", []block{pictures{p}}}, err
}

// besideSection shows the drops kept back beside their predictions.
func besideSection(l workshop.Lesson) section {
	s := section{title: "Predicted beside measured"}
	m := l.CheckMisses()
	if m.Count == 0 {
		s.blocks = []block{prose(`No drops were kept back as a check. Write "check" after a drop in the plan, and it shows how good the predictions are.`)}
		return s
	}
	s.blocks = append(s.blocks, prose(fmt.Sprintf("%s kept back and never learned from: %d inside the interval that holds 95 times in 100, typically %s dE00 away, at worst %s. Left half predicted, right half measured.",
		english.Count(m.Count, "drop was", "drops were"), l.ChecksHeld(), DE00(m.MedianDE00), DE00(m.WorstDE00))))
	var row []patch
	for _, k := range l.Checks {
		held := "inside "
		if !k.Held() {
			held = "OUTSIDE "
		}
		row = append(row, patch{
			[]string{k.Predicted.Lab.Hex(), k.Swatch.Colour.Lab.Hex()}, DoseText(k.Swatch.Recipe),
			[]string{k.Predicted.Lab.Hex() + " | " + k.Swatch.Colour.Lab.Hex(), ColourWord(k.Swatch.Colour.Lab), "miss " + DE00(k.MissDE00) + ", " + held + DE00(k.Within95)},
		})
	}
	s.blocks = append(s.blocks, swatchRow{Patches: row})
	return s
}

// nextSection tells the drops worth making.
func nextSection(r workshop.WaxReport) section {
	s := section{title: "Drops worth making next"}
	if len(r.Next) == 0 {
		s.blocks = []block{prose("None is known.")}
		return s
	}
	g := grid{Titles: []string{"drop, set on white card", "surer on average, dE00", "most, dE00", "for"}}
	for _, n := range r.Next {
		g.Rows = append(g.Rows, []cell{{Text: plan.FormatDose(n.Dose)}, {Text: fixed(n.FallDE00, 2)}, {Text: fixed(n.ForFallDE00, 2)}, {Text: DoseText(n.For)}})
	}
	said := "By how much each drop, if it were the only one, makes the predictions of this shelf surer: on average, and most, for the dose named."
	if r.Next[0].FallDE00 < unseenFall {
		said += " No single drop makes them surer by as much as can be seen."
	}
	s.blocks = []block{prose(said), g}
	return s
}

// unlearnedSection names the dyes that nothing is known of.
func unlearnedSection(r workshop.WaxReport) section {
	names := make([]string, len(r.Unlearned))
	for i, d := range r.Unlearned {
		names[i] = d.Name
		if d.Form == wax.Mica || d.Form == wax.Pigment {
			names[i] += " (" + string(d.Form) + ", which scatters light as well)"
		}
	}
	said := "No dye is on the shelf yet."
	if names != nil {
		said = "No drop learned from shows " + english.Or(names) + ". Drip each at four doses or so, from pale to strong, on white card."
	}
	return section{"Not learned yet", []block{prose(said)}}
}

// BatchHTML writes a batch of the log as one HTML file that needs no other.
func BatchHTML(w io.Writer, r workshop.BatchReport) error { return batchDocument(r).writeHTML(w) }

// BatchPDF writes a batch of the log as a PDF for A4 and Letter.
func BatchPDF(w io.Writer, r workshop.BatchReport) error { return batchDocument(r).writePDF(w) }

func batchDocument(r workshop.BatchReport) document {
	d := document{title: fmt.Sprintf("Batch %d, %s", r.ID, r.Wax), under: "Poured " + dayText(r.PouredAt) + ".", at: r.At}
	if len(r.Cautions) > 0 {
		d.sections = append(d.sections, section{"Look at this", []block{sentences(r.Cautions)}})
	}
	for i := range r.Colours {
		d.sections = append(d.sections, colourSection(r, i))
	}
	lots := make(facts, len(r.Lots))
	for i, l := range r.Lots {
		lots[i] = fact{l.Of, l.Lot}
	}
	if len(lots) > 0 {
		d.sections = append(d.sections, section{"Lots", []block{lots}})
	}
	if len(r.Notes) > 0 {
		d.sections = append(d.sections, section{"Notes", []block{remarks(r.Notes)}})
	}
	return d
}

// colourSection tells one colour of a batch: what went in, what was promised
// and what came out.
func colourSection(r workshop.BatchReport, i int) section {
	c := r.Colours[i]
	s := section{title: colourTitle(c.Name, DoseText(c.Recipe))}
	s.blocks = append(s.blocks, prose(fmt.Sprintf("%s, %s in all.", portionsText(c.Portions, r.Portion), Grams(c.TotalG()))), poured(c.Batch, r.Shelf))
	if c.Promise == nil {
		return section{s.title, append(s.blocks, prose("Nothing was promised: its dyes had not been learned on the day."))}
	}
	promised := patch{[]string{c.Promise.Drop.Lab.Hex()}, "promised", []string{shadeText(c.Promise.Drop.Lab), within(c.Promise.Drop.Within95)}}
	piece := patch{[]string{c.Promise.Piece.Lab.Hex()}, "finished piece, promised", []string{shadeText(c.Promise.Piece.Lab), within(c.Promise.Piece.Within95)}}
	o := r.Outcomes[i]
	if o == nil {
		promised.Title = "drop on white card, promised"
		return section{s.title, append(s.blocks, swatchRow{Patches: []patch{promised, piece}}, prose("What came of it is not known: no drop of it was read yet."))}
	}
	came := shadePatch("came out", o.Swatch.Colour.Lab)
	came.Lines = append(came.Lines, fmt.Sprintf("swatch %d", o.Swatch.ID))
	both := patch{[]string{promised.Hexes[0], came.Hexes[0]}, "promised | came out", nil}
	s.blocks = append(s.blocks, swatchRow{Patches: []patch{promised, came, both, piece}})
	if o.MissDE00 != nil {
		s.blocks = append(s.blocks, prose(fmt.Sprintf("The drop on white card came out %s dE00 from what was promised: %s. 95 times in 100 it comes out within %s.", DE00(*o.MissDE00), workshop.Seen(*o.MissDE00), DE00(c.Promise.Drop.Within95))))
	}
	return s
}

// poured is what went into the pot, as it is weighed and as it is counted.
func poured(b wax.Batch, shelf []wax.Dye) grid {
	g := grid{Titles: []string{"what", "mass", "counted", "dose"}}
	g.Rows = append(g.Rows, []cell{{Text: "undyed wax"}, {Text: Grams(b.UndyedG)}, {}, {}})
	for _, part := range b.Recipe {
		row := []cell{{Text: part.Dye}, {Text: Grams(part.DoseGPerKg * b.UndyedG / 1000)}, {}, {Text: Dose(part.DoseGPerKg)}}
		if at := slices.IndexFunc(shelf, func(d wax.Dye) bool { return d.Name == part.Dye }); at >= 0 {
			if text := counts(shelf[at], part.DoseGPerKg); text != "" {
				row[2].Text = unitsText(shelf[at], part.DoseGPerKg*b.UndyedG/1000)
				row[3].Text += ", " + text
			}
		}
		g.Rows = append(g.Rows, row)
	}
	for _, a := range b.Additives {
		g.Rows = append(g.Rows, []cell{{Text: a.Name}, {Text: Grams(a.MassG(b.UndyedG))}, {}, {Text: significant(a.Percent, 3) + " % of wax"}})
	}
	if f := b.FragranceG(); f > 0 {
		g.Rows = append(g.Rows, []cell{{Text: "fragrance"}, {Text: Grams(f)}, {}, {Text: b.Load.String()}})
	}
	return g
}

// unitsText is a mass of dye in chips or drops.
func unitsText(d wax.Dye, g float64) string {
	unit, count := d.Form.Unit(), significant(g/d.UnitMassG, 3)
	if count != "1" {
		unit += "s"
	}
	return count + " " + unit
}
