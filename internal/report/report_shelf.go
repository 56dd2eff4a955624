package report

import (
	"fmt"
	"io"
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
