package report

import (
	"fmt"

	"setshade/internal/workshop"
)

// Lot writes what one drop tells of a new lot.
func Lot(c Colours, a workshop.LotAnswer) string {
	var t text
	t.prose("", "%s, lot %s, by swatch %d (%s in %s)", a.Dye.Name, a.Mark, a.Swatch.ID, DoseText(a.Swatch.Recipe), a.Wax.Name)
	t.line("  %s", c.Shade(a.Swatch.Colour.Lab))
	t.line("")
	t.prose("", "Strength: %s of the old lot%s; 95 times in 100 between %s and %s.", percent(a.Strength), oldMark(a), percent(a.From), percent(a.To))
	switch {
	case a.Stronger():
		t.prose("", "It is stronger: for the same shade take %s of the dye where a recipe says 1 g.", hold(significant(1/a.Strength, 2)+" g"))
	case a.Weaker():
		t.prose("", "It is weaker: for the same shade take %s of the dye where a recipe says 1 g.", hold(significant(1/a.Strength, 2)+" g"))
	default:
		t.prose("", "No change of strength shows beyond what weighing may be off by.")
	}
	if a.HueMoved {
		t.prose("", "The hue has moved: at any strength of the old lot its colour stays %s dE00 away. Other doses do not mend that; record a ladder of the new lot.", DE00(a.HueMissDE00))
	} else {
		t.prose("", "The hue has not moved: the strength alone explains the drop, to %s dE00.", DE00(a.HueMissDE00))
	}
	t.prose("", "An error in weighing reads as a change of strength: when in doubt, weigh and drip again.")
	if a.Taken != nil {
		t.line("")
		t.prose("", "%s is of lot %s from now on, in predictions, matches and rescues: this drop is learned as its first, and what it does not tell is taken from the old lot. The old lot is now called %q and keeps its swatches and batches.", a.Taken.Name, a.Mark, a.Older.Name)
	}
	return t.String()
}

func oldMark(a workshop.LotAnswer) string {
	if a.Dye.Lot == "" {
		return ""
	}
	return " (" + a.Dye.Lot + ")"
}

func percent(share float64) string { return hold(fixed(100*share, 0) + " %") }

// LotChart writes the control chart of a dye's check drops.
func LotChart(l workshop.LotChart) string {
	var t text
	if len(l.Points) == 0 {
		t.prose("", "%s in %s has no check drops of it alone. Drip one of a usual dose now and then, with \"check\" in its plan, and record it.", l.Dye.Name, l.Wax.Name)
		return t.String()
	}
	t.prose("", "Check drops of %s in %s, in the order recorded", l.Dye.Name, l.Wax.Name)
	t.line("")
	table := NewTable(Column{"swatch", true}, Column{DoseTitle, false}, Column{"strength off by, standard errors", true}, Column{})
	for i, p := range l.Points {
		mark := ""
		for _, alarm := range l.Alarms {
			if alarm.At == i {
				mark = "alarm"
			}
		}
		table.Row(fmt.Sprint(p.Swatch.ID), doseLines(p.Swatch.Recipe), signed(p.Standardised), mark)
	}
	t.table("", table)
	if len(l.Alarms) == 0 {
		t.prose("", "No alarm: the checks scatter as they should.")
		return t.String()
	}
	for _, alarm := range l.Alarms {
		side := "weaker"
		if alarm.Above {
			side = "stronger"
		}
		t.prose("", "At swatch %d: %s, on the %s side. Look at the scale, the chips and the lot.", l.Points[alarm.At].Swatch.ID, alarm.Rule, side)
	}
	return t.String()
}

func signed(v float64) string {
	if s := fixed(v, 1); v < 0 || s == "0.0" {
		return s
	}
	return "+" + fixed(v, 1)
}
