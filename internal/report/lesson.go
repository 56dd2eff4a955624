package report

import (
	"fmt"
	"image"

	"setshade/internal/calibrate"
	"setshade/internal/english"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// Lesson writes what was learned of a wax and how well it holds; with all, also
// every drop left out once.
func Lesson(c Colours, l workshop.Lesson, all bool) string {
	var t text
	drops, dyes := len(l.Drops), len(l.Model.Dyes)
	t.line("Learned %s in %s from %s", english.Count(dyes, "dye", "dyes"), l.Wax.Name, english.Count(drops, "drop", "drops"))
	t.line("")
	t.tested(l)
	t.suspects(l)
	t.checks(c, l)
	if all {
		t.leftOut(c, l)
	}
	return t.String()
}

// tested writes for each dye which doses were tested and how well they agree.
func (t *text) tested(l workshop.Lesson) {
	table := NewTable(Column{"dye", false}, Column{"drops", true}, Column{"tested, g/kg", false},
		Column{"typical miss", true}, Column{"worst miss", true})
	for _, d := range l.Model.Dyes {
		typical, worst := MissTexts(l, d.Name)
		table.Row(d.Name, fmt.Sprint(d.Drops), rangeText(d), typical, worst)
	}
	t.table("", table)
	t.prose("", "Misses are in dE00: each drop was left out of the fit once and then predicted; typical is the median.")
}

// MissTexts are the typical and the worst miss of drops left out that have a dye in
// them, with a word where they are not known.
func MissTexts(l workshop.Lesson, dye string) (typical, worst string) {
	m := l.LeftOut(dye)
	switch {
	case m.Count > 0:
		return DE00(m.MedianDE00), DE00(m.WorstDE00)
	case l.OneDose(dye):
		return "not known: all at one dose", "-"
	}
	return "not known", "-"
}

func rangeText(d calibrate.DyeRange) string {
	from, to := significant(d.MinGPerKg, 3), significant(d.MaxGPerKg, 3)
	if from == to {
		return from
	}
	return from + " to " + to
}

// suspects names the drops that cannot be right.
func (t *text) suspects(l workshop.Lesson) {
	found := false
	for i, fit := range l.Model.Drops {
		if fit.Suspicion == "" {
			continue
		}
		if !found {
			t.line("\nSuspicious drops, of which the fit believes little")
			found = true
		}
		s := l.Drops[i]
		t.prose("  ", "swatch %d, %s, misses by %s dE00: %s (%s drop %d)", s.ID, DoseText(s.Recipe), DE00(fit.DE00), fit.Suspicion, s.Photo.Name, s.Drop)
	}
	if found {
		t.line("Look at each, then remove it or keep it back with: setshade swatch keep NUMBER")
	}
}

// checks writes the drops kept back beside their predictions.
func (t *text) checks(c Colours, l workshop.Lesson) {
	if len(l.Checks) == 0 {
		t.line("")
		t.prose("", "No drops were kept back as a check: write \"check\" after a drop in the plan, or: setshade swatch keep NUMBER")
		return
	}
	t.line("\nCheck drops, never learned from")
	table := NewTable(Column{"swatch", true}, Column{DoseTitle, false}, Column{}, Column{"shade", false})
	for _, k := range l.Checks {
		held := "inside"
		if !k.Held() {
			held = "outside"
		}
		table.Row(idText(k.Swatch), fmt.Sprintf("%s\n  miss %s, %s %s", doseLines(k.Swatch.Recipe), DE00(k.MissDE00), held, DE00(k.Within95)),
			"predicted\nmeasured", c.Shade(k.Predicted.Lab)+"\n"+c.Shade(k.Swatch.Colour.Lab))
	}
	t.table("", table)
	m := l.CheckMisses()
	t.prose("", "Misses are in dE00, inside or outside what holds 95 times in 100: %d of %d inside, median %s, worst %s.", l.ChecksHeld(), m.Count, DE00(m.MedianDE00), DE00(m.WorstDE00))
}

// leftOut writes every drop with its two misses.
func (t *text) leftOut(c Colours, l workshop.Lesson) {
	t.line("\nEvery drop, in the fit and left out of it")
	table := NewTable(Column{"swatch", true}, Column{"in the fit", true}, Column{"left out", true}, Column{"trust", true},
		Column{DoseTitle, false}, Column{"shade", false})
	for i, fit := range l.Model.Drops {
		s := l.Drops[i]
		table.Row(idText(s), DE00(fit.DE00), leftOutText(fit), fixed(fit.Trust, 2), doseLines(s.Recipe), c.Shade(s.Colour.Lab))
	}
	t.table("", table)
	t.prose("", "Misses are in dE00. Trust is 1 for a drop that fits and near 0 for one that cannot be right.")
}

func leftOutText(fit calibrate.DropFit) string {
	if fit.LeftOutDE00 == nil {
		return "-"
	}
	return DE00(*fit.LeftOutDE00)
}

// LessonPicture draws predicted beside measured: the drops kept back, then
// those learned from.
func LessonPicture(l workshop.Lesson) image.Image {
	checks := PairGroup{Title: "Check drops, never learned from"}
	for _, k := range l.Checks {
		checks.Pairs = append(checks.Pairs, Pair{
			Predicted: k.Predicted.Lab, Measured: k.Swatch.Colour.Lab,
			Lines: []string{pairTitle(k.Swatch), fmt.Sprintf("dE00 %s, 95 %% within %s", DE00(k.MissDE00), DE00(k.Within95))},
		})
	}
	learned := PairGroup{Title: "Drops learned from, as the fit has them"}
	for i, fit := range l.Model.Drops {
		learned.Pairs = append(learned.Pairs, Pair{
			Predicted: fit.Predicted, Measured: l.Drops[i].Colour.Lab,
			Lines: []string{pairTitle(l.Drops[i]), fmt.Sprintf("dE00 %s, left out %s", DE00(fit.DE00), leftOutText(fit))},
		})
	}
	return Beside(l.Wax.Name, checks, learned)
}

func pairTitle(s wax.Swatch) string { return fmt.Sprintf("%d  %s", s.ID, DoseCell(s.Recipe)) }
