package report

import (
	"fmt"
	"io"
	"strings"

	"setshade/internal/calibrate"
	"setshade/internal/english"
	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// DyeHTML writes the report of a dye as one HTML file that needs no other.
func DyeHTML(w io.Writer, r workshop.DyeReport) error {
	d, err := dyeDocument(r)
	if err != nil {
		return err
	}
	return d.writeHTML(w)
}

// DyePDF writes the report of a dye as a PDF for A4 and Letter.
func DyePDF(w io.Writer, r workshop.DyeReport) error {
	d, err := dyeDocument(r)
	if err != nil {
		return err
	}
	return d.writePDF(w)
}

func dyeDocument(r workshop.DyeReport) (document, error) {
	d := document{title: r.Dye.Name + " in " + r.Wax.Name, under: "What is known of one dye in one wax.", at: r.At}
	d.sections = append(d.sections, section{"The dye", []block{dyeFacts(r)}}, ladderSection(r))
	if r.Learned == nil {
		d.sections = append(d.sections, section{"What was learned", []block{prose(fmt.Sprintf("Nothing has been learned of %s in %s yet. Record a card of set drops at four doses or so, then learn the wax.", r.Dye.Name, r.Wax.Name))}})
		return d, nil
	}
	curves, err := curvesSection(*r.Learned)
	if err != nil {
		return document{}, err
	}
	d.sections = append(d.sections, dosesSection(*r.Learned), curves, missesSection(*r.Learned))
	if len(r.Notes) > 0 {
		d.sections = append(d.sections, section{"Notes", []block{sentences(r.Notes)}})
	}
	return d, nil
}

func sentences(notes []string) remarks {
	out := make(remarks, len(notes))
	for i, n := range notes {
		out[i] = sentence(n)
	}
	return out
}

func dyeFacts(r workshop.DyeReport) facts {
	d := r.Dye
	out := facts{{"form", string(d.Form)}}
	if unit := d.Form.Unit(); unit != "" {
		out = append(out, fact{"mass of a " + unit, Quantity(d.UnitMassG, "g")})
	}
	lot := d.Lot
	if lot == "" {
		lot = Quantity(0, "")
	}
	out = append(out, fact{"highest dose", Quantity(d.MaxDoseGPerKg, "g/kg")}, fact{"price", Quantity(d.PricePerG, "per g")}, fact{"lot", lot})
	if r.Learned != nil {
		out = append(out, fact{"tested", testedText(r.Learned.DyeRange)})
	}
	return out
}

// testedText is what was tested of a dye, in all drops that it is in.
func testedText(d calibrate.DyeRange) string {
	text := fmt.Sprintf("%s g/kg, in %s", rangeText(d), english.Count(d.Drops, "drop", "drops"))
	if d.LiquidDrops > 0 {
		text += fmt.Sprintf(", %d of them liquid", d.LiquidDrops)
	}
	return text
}

// counts writes a dose as it is counted out, "" for a dye that is weighed or of
// which no unit has been weighed.
func counts(d wax.Dye, gPerKg float64) string {
	if d.UnitMassG == 0 {
		return ""
	}
	switch d.Form {
	case wax.Chip:
		return amountText(gPerKg/d.UnitMassG, plan.Chips)
	case wax.Liquid:
		return amountText(gPerKg/d.UnitMassG, plan.Drops)
	}
	return ""
}

// ladderSection shows the drops as they were measured.
func ladderSection(r workshop.DyeReport) section {
	s := section{title: "Its ladder, as measured"}
	for _, l := range []struct {
		state string
		drops []wax.Swatch
	}{{"Set drops on white card", r.Set}, {"Liquid drops, clear and darker than they will be", r.Liquid}} {
		if len(l.drops) == 0 {
			continue
		}
		s.blocks = append(s.blocks, swatchRow{l.state, ladderPatches(r.Dye, l.drops)})
	}
	if s.blocks == nil {
		s.blocks = []block{prose("No drop of it alone was recorded in this wax.")}
	}
	return s
}

func ladderPatches(d wax.Dye, drops []wax.Swatch) []patch {
	var row []patch
	for _, s := range drops {
		dose := s.Recipe[0].DoseGPerKg
		one := shadePatch(Dose(dose), s.Colour.Lab)
		if text := counts(d, dose); text != "" {
			one.Title, one.Lines = text, append([]string{Dose(dose)}, one.Lines...)
		}
		if s.Check {
			one.Lines = append(one.Lines, "check, kept back")
		}
		row = append(row, one)
	}
	return row
}

func shadePatch(title string, c spectrum.Lab) patch {
	return patch{[]string{c.Hex()}, title, []string{shadeText(c)}}
}

// shadeText is a colour's hex code and word.
func shadeText(c spectrum.Lab) string { return c.Hex() + " " + ColourWord(c) }

// dosesSection foretells doses over the range tested.
func dosesSection(l workshop.LearnedDye) section {
	g := grid{Titles: []string{"dose", "finished piece", "95 times in 100"}}
	for _, light := range l.Doses[0].Piece.Lights[1:] {
		g.Titles = append(g.Titles, "under "+workshop.LightName(light.Light))
	}
	g.Titles = append(g.Titles, "test drop on white card")
	var untested remarks
	for _, d := range l.Doses {
		row := []cell{{Text: doseOf(d)}, shadeCell(d.Piece.Lab), {Text: within(d.Piece.Within95)}}
		for _, light := range d.Piece.Lights[1:] {
			row = append(row, shadeCell(light.Lab))
		}
		g.Rows = append(g.Rows, append(row, shadeCell(d.Drop.Lab)))
		untested = append(untested, sentences(d.Piece.Untested)...)
	}
	s := section{"What a dose will set to", []block{
		prose("Predicted over the doses tested, each a like step up in strength. A finished piece is thick; a test drop is thin and shows the card a little. The piece is told in daylight (D65), and as an eye used to the light sees it under a warm lamp and a white LED."), g,
	}}
	if untested != nil {
		s.blocks = append(s.blocks, untested)
	}
	return s
}

// doseOf is a dose as it is measured out, with its g/kg where that says more.
func doseOf(d workshop.DoseShade) string {
	text := amountText(d.Dose.Value, d.Dose.Unit)
	if d.Dose.Unit != plan.Gram {
		text = hold(text) + ", " + hold(Dose(d.GPerKg))
	}
	return text
}

// amountText is an amount without the dye's name.
func amountText(value float64, unit plan.Unit) string {
	count := significant(value, 3)
	if count == "1" {
		return "1 " + strings.Replace(string(unit), "s/kg", "/kg", 1)
	}
	return count + " " + string(unit)
}

func shadeCell(c spectrum.Lab) cell { return cell{c.Hex(), shadeText(c)} }

// curvesSection draws the dye's colours against its dose, and its spectrum.
func curvesSection(l workshop.LearnedDye) (section, error) {
	learned, kept := l.Lesson.Alone(l.Name)
	var beside pictures
	first, last := l.Curve[0], l.Curve[len(l.Curve)-1]
	for _, c := range coordinates {
		alt := fmt.Sprintf("Curve of %s against dose: %s at %s, %s at %s.", c.name, fixed(c.of(first.Lab), 0), Dose(first.DoseGPerKg), fixed(c.of(last.Lab), 0), Dose(last.DoseGPerKg))
		p, err := pictureOf(c.ladder(l.Name, l.Curve, learned, kept), panelWide, panelHigh, alt, c.meaning)
		if err != nil {
			return section{}, err
		}
		beside = append(beside, p)
	}
	band := strongest(l.Absorption)
	most := spectrum.WavelengthNM(band)
	spectrumPicture, err := pictureOf(spectrumPlot(&l), 1.6*panelWide, 1.15*panelHigh,
		fmt.Sprintf("Curve of K/S over wavelengths from 380 to 730 nm, highest near %.0f nm.", most),
		fmt.Sprintf("Where the curve is high the dye takes light out: most near %.0f nm, which is %s. A camera sees three numbers a drop, so the broad shape can be relied on and small bends cannot; at both ends of the spectrum, where the eye sees little, the curve is mostly a guess.", most, lightWord(most)))
	return section{"Its curves", []block{
		prose("Line: predicted, for a test drop on white card. Band: 95 % interval. Disc: a drop as measured. Ring: a drop kept back, never learned from."),
		beside, pictures{spectrumPicture},
	}}, err
}

// strongest is the band of the highest value.
func strongest(s spectrum.Spectrum) int {
	best := 0
	for band, v := range s {
		if v > s[best] {
			best = band
		}
	}
	return best
}

// lightWord names the light of a wavelength, roughly, as any book on colour does.
func lightWord(nm float64) string {
	switch {
	case nm < 430:
		return "violet light"
	case nm < 490:
		return "blue light"
	case nm < 570:
		return "green light"
	case nm < 590:
		return "yellow light"
	case nm < 620:
		return "orange light"
	}
	return "red light"
}

// missesSection tells how far the drops lie from what was learned.
func missesSection(l workshop.LearnedDye) section {
	m := l.Lesson.LeftOut(l.Name)
	said := "How far a new drop would miss is not known: left out, a drop is predicted from others of the same dose alone."
	if m.Count > 0 {
		said = fmt.Sprintf("Each set drop was left out of the fit once and then predicted: typically %s dE00 away, at worst %s, over %s.", DE00(m.MedianDE00), DE00(m.WorstDE00), english.Count(m.Count, "drop", "drops"))
	}
	g := grid{Titles: []string{"swatch", "dose", "measured", "in the fit, dE00", "left out, dE00", "likely cause"}}
	var suspects int
	for i, fit := range l.Lesson.Model.Drops {
		s := l.Lesson.Drops[i]
		if s.Recipe.Dose(l.Name) == 0 || s.State == wax.LiquidState && fit.Suspicion == "" {
			continue
		}
		if fit.Suspicion != "" {
			suspects++
		}
		g.Rows = append(g.Rows, []cell{{Text: idText(s)}, {Text: dropDose(s)}, shadeCell(s.Colour.Lab), {Text: DE00(fit.DE00)}, {Text: leftOutText(fit)}, {Text: causeText(fit)}})
	}
	found := "No drop is suspicious."
	if suspects > 0 {
		found = fmt.Sprintf("%s suspicious; the likely cause stands beside it. Look at the card, then remove the swatch or keep it back.", english.Count(suspects, "drop is", "drops are"))
	}
	return section{"How well it holds", []block{prose(said + " " + found), g}}
}

// dropDose is the dose of a drop, and liquid where it was.
func dropDose(s wax.Swatch) string {
	if s.State == wax.LiquidState {
		return DoseText(s.Recipe) + ", liquid"
	}
	return DoseText(s.Recipe)
}

func causeText(fit calibrate.DropFit) string {
	if fit.Suspicion == "" {
		return "fits"
	}
	return fit.Suspicion
}
