package report

import (
	"fmt"
	"io"
	"slices"

	"setshade/internal/wax"
	"setshade/internal/workshop"
)

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
