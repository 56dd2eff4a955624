package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"setshade/internal/english"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// DoseTitle heads a column of doses as DoseCell writes them.
const DoseTitle = "dose, g/kg"

// DoseCell writes a recipe without its unit, for a column that names it:
// "Bracken 0.5 + Slate Hill 2".
func DoseCell(r wax.Recipe) string {
	if len(r) == 0 {
		return wax.Undyed
	}
	parts := make([]string, len(r))
	for i, p := range r {
		parts[i] = p.Dye + " " + significant(p.DoseGPerKg, 3)
	}
	return strings.Join(parts, " + ")
}

// doseColumnWidth is the width above which a mixture takes a line for each dye.
const doseColumnWidth = 20

// doseLines is DoseCell for tables with much else in them: a wide mixture is
// broken after each dye.
func doseLines(r wax.Recipe) string {
	cell := DoseCell(r)
	if width(cell) > doseColumnWidth {
		return strings.ReplaceAll(cell, " + ", " +\n")
	}
	return cell
}

// planned writes a swatch's dose, and check after it as its plan does.
func planned(s wax.Swatch) string {
	if s.Check {
		return doseLines(s.Recipe) + " check"
	}
	return doseLines(s.Recipe)
}

// DoseText writes a recipe with its units: "Bracken 0.5 g/kg + Slate Hill 2
// g/kg".
func DoseText(r wax.Recipe) string {
	if len(r) == 0 {
		return wax.Undyed
	}
	return strings.ReplaceAll(DoseCell(r), " + ", " g/kg + ") + " g/kg"
}

const checkMeans = "check: kept back to test predictions, never learned from."

// Card writes the swatches read from one photograph. Swatches that are not
// recorded have no number.
func Card(c Colours, photoName string, r workshop.Reading, recorded bool) string {
	var t text
	first := r.Swatches[0] // a reading without drops is refused
	n := len(r.Swatches)
	drops := english.Plural(n, "drop", "drops")
	if first.Thick {
		drops = english.Plural(n, "thick piece", "thick pieces")
	}
	did := "recorded"
	if !recorded {
		did = "read; nothing was recorded"
	}
	t.line("%s: %d %s %s of %s %s", photoName, n, first.State, drops, first.Wax, did)
	// The shade comes last: a narrow terminal breaks the end of a line.
	table := NewTable(Column{"swatch", true}, Column{"drop", true}, Column{DoseTitle, false},
		Column{"L*", true}, Column{"a*", true}, Column{"b*", true}, Column{"shade", false})
	for _, s := range r.Swatches {
		lab := s.Colour.Lab
		table.Row(idText(s), fmt.Sprint(s.Drop), planned(s), fixed(lab.L, 1), fixed(lab.A, 1), fixed(lab.B, 1), c.Shade(lab))
	}
	t.table("", table)
	t.reading(r.Correction, r.Quality, r.DropAreaPx())
	for _, s := range r.Swatches {
		for _, note := range s.Notes {
			t.prose(fmt.Sprintf("drop %d: ", s.Drop), "%s", note)
		}
	}
	if slices.ContainsFunc(r.Swatches, func(s wax.Swatch) bool { return s.Check }) {
		t.line(checkMeans)
	}
	return t.String()
}

func idText(s wax.Swatch) string {
	if s.ID == 0 {
		return "-"
	}
	return fmt.Sprint(s.ID)
}

// Swatches writes a list of swatches; nothing when there are none.
func Swatches(c Colours, swatches []wax.Swatch) string {
	if len(swatches) == 0 {
		return ""
	}
	var t text
	table := NewTable(Column{"swatch", true}, Column{"wax", false}, Column{DoseTitle, false},
		Column{"state", false}, Column{"shade", false})
	for _, s := range swatches {
		table.Row(idText(s), s.Wax, planned(s), string(s.State), c.Shade(s.Colour.Lab))
	}
	t.table("", table)
	return t.String()
}

// Swatch writes everything known of one swatch of a wax.
func Swatch(c Colours, base wax.Wax, s wax.Swatch) string {
	var t text
	t.line("Swatch %d", s.ID)
	use := "learned from"
	switch {
	case s.Check:
		use = "check: kept back to test predictions, never learned from"
	case s.State == wax.LiquidState:
		use = "shown; only set drops are learned from"
	}
	table := NewTable(Column{}, Column{})
	table.Row("wax", s.Wax)
	table.Row("dose", DoseText(s.Recipe))
	table.Row("state", string(s.State))
	table.Row("use", use)
	table.Row("shade", c.Shade(s.Colour.Lab))
	table.Row("colour", LabText(s.Colour.Lab))
	table.Row("read to", spreadText(s))
	if s.Thick {
		table.Row("piece", "thick, no card shows through")
	} else {
		table.Row("card", LabText(s.Card))
	}
	if s.OverBlack != nil && s.Bar != nil {
		table.Row("over black", fmt.Sprintf("%s, on a bar of %s", LabText(s.OverBlack.Lab), LabText(*s.Bar)))
	}
	if s.DiameterMM > 0 {
		table.Row("diameter", fixed(s.DiameterMM, 1)+" mm")
	}
	if s.MassG > 0 {
		table.Row("mass", significant(s.MassG, 3)+" g")
	}
	if mm := base.DropThicknessMM(s.MassG, s.DiameterMM); mm > 0 {
		table.Row("thickness", fmt.Sprintf("about %s mm in the middle, by mass and diameter", fixed(mm, 1)))
	}
	table.Row("drop", fmt.Sprintf("%d on its card, %s %% of the card's area", s.Drop, significant(100*s.AreaShare, 2)))
	table.Row("photograph", s.Photo.Name)
	if s.Photo.Correction.IsKnown() {
		table.Row("colours", strings.TrimPrefix(CorrectionText(s.Photo.Correction), "colours "))
		table.Row("picture", QualityText(s.Photo.Quality, s.AreaPx))
	}
	table.Row("recorded", s.Photo.RecordedAt.UTC().Format("2006-01-02 15:04 UTC"))
	for _, note := range s.Notes {
		table.Row("note", note)
	}
	t.table("  ", table)
	return t.String()
}

// spreadText writes the standard errors of a swatch's colour.
func spreadText(s wax.Swatch) string {
	deviation := func(i int) string { return fixed(math.Sqrt(s.Colour.Cov[i][i]), 2) }
	return fmt.Sprintf("L* ±%s a* ±%s b* ±%s (standard error)", deviation(0), deviation(1), deviation(2))
}
