package report

import (
	"fmt"
	"slices"

	"setshade/internal/batch"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// Remedy writes a rescue as steps at the bench.
func Remedy(c Colours, r workshop.Remedy) string {
	var t text
	t.trouble(r)
	t.outcome(c, r)
	if len(r.Steps) == 0 {
		t.line("\nAdd nothing: undyed wax brings this batch no nearer.")
	} else {
		t.line("")
		t.steps(c, r)
		t.pot(r)
	}
	t.limits(r.Limits)
	t.untested(allUntested(r))
	t.line("")
	t.prose("", screensDiffer)
	return t.String()
}

// trouble says what is in the pot.
func (t *text) trouble(r workshop.Remedy) {
	t.prose("", "The batch: %s; %s in all.", contents(r.Batch), hold(Grams(r.Batch.TotalG())))
	dose := fmt.Sprintf("%s in %s", DoseText(r.Batch.Recipe), r.Wax.Name)
	if r.FromDrop {
		dose += fmt.Sprintf(" (read off the drop, %s dE00 from its colour)", DE00(r.DropMissDE00))
	}
	t.prose("", "Its dose: %s.", dose)
}

// outcome shows the shade as it is, as wanted and as reached.
func (t *text) outcome(c Colours, r workshop.Remedy) {
	piece := "a finished piece"
	if r.OnCard {
		piece = "a set drop on its card"
	}
	t.line("\nShades are of %s; intervals hold 95 times in 100.", piece)
	table := NewTable(Column{}, Column{}, Column{})
	table.Row("now", c.Shade(r.From.Lab), within(r.From.Within95))
	if r.MissDE00 > 0 {
		table.Row("wanted", c.Shade(r.Wanted), "")
	}
	table.Row("after", c.Shade(r.Reached.Lab), within(r.Reached.Within95))
	t.table("  ", table)
	if r.MissDE00 > 0 {
		t.prose("", "After is %s dE00 from wanted: %s.", DE00(r.MissDE00), workshop.Seen(r.MissDE00))
	} else {
		t.prose("", "After is %s dE00 from now.", DE00(spectrum.DE00(r.From.Lab, r.Reached.Lab)))
	}
}

func within(de00 float64) string { return "within " + DE00(de00) + " dE00" }

// steps numbers what to do.
func (t *text) steps(c Colours, r workshop.Remedy) {
	n := 0
	step := func(format string, args ...any) {
		n++
		t.prose(fmt.Sprintf("%d. ", n), format, args...)
	}
	also := func(format string, args ...any) { t.prose("   ", format, args...) }
	first, rest := r.Steps[0], r.Steps[1]
	step("Melt the batch gently%s, and stir it.", gently(r.Batch))
	also("%s", batch.HotWax)
	if r.SetAside != nil {
		step("Set aside %s of it: the pot cannot hold it all. It is stock, to be used: %s.", hold(Grams(r.SetAside.TotalG())), contents(r.SetAside.Batch))
		also("Label it \"%s, %s, %s\".", r.Wax.Name, DoseText(r.SetAside.Recipe), loadText(r.SetAside.Load))
	}
	step("Melt %s of undyed %s in a pot of its own%s.", hold(Grams(r.AddUndyedG)), r.Wax.Name, heat(r.Wax))
	if r.AddFragranceG > 0 {
		step("Stir %s of fragrance into the undyed wax%s: that keeps the load at %s.", hold(Grams(r.AddFragranceG)), mix(r.Wax), hold(r.After.Load.String()))
		also("%s", batch.FlashPoint)
	}
	step("Add two thirds to the batch, %s, and stir.", portion(first))
	step("Drip a drop on white card and let it set; liquid wax looks darker. Expect")
	t.line("      %s, %s", c.Shade(first.Drop.Lab), within(first.Drop.Within95))
	also("Read it from a photograph with: setshade record PHOTO --dry-run. Paler than that? Add less of the rest.")
	step("Add the rest, %s, and stir. Drip again; expect", portion(rest))
	t.line("      %s, %s", c.Shade(rest.Drop.Lab), within(rest.Drop.Within95))
	step("Pour%s.", pour(r.Wax))
}

// portion is what one step adds, fragrance included.
func portion(s workshop.Step) string {
	if s.AddFragranceG == 0 {
		return hold(Grams(s.AddUndyedG))
	}
	return fmt.Sprintf("%s (%s wax, %s fragrance)", hold(Grams(s.AddUndyedG+s.AddFragranceG)), hold(Grams(s.AddUndyedG)), hold(Grams(s.AddFragranceG)))
}

// pot says what is in the pot at the end.
func (t *text) pot(r workshop.Remedy) {
	t.line("")
	t.prose("", "In the pot then: %s: %s. Its dose: %s.", hold(Grams(r.After.TotalG())), contents(r.After), DoseText(r.After.Recipe))
}

// limits says what diluting cannot do, or cannot do well.
func (t *text) limits(limits []string) {
	if len(limits) == 0 {
		return
	}
	t.line("\nWhat undyed wax cannot mend:")
	for _, l := range limits {
		t.prose("  ", "%s", sentence(l))
	}
}

// allUntested joins what was never tested before and after adding.
func allUntested(r workshop.Remedy) []string {
	all := slices.Clone(r.From.Untested)
	for _, remark := range r.Reached.Untested {
		if !slices.Contains(all, remark) {
			all = append(all, remark)
		}
	}
	return all
}

// contents lists what is in a batch, the load with what it is a share of.
func contents(b wax.Batch) string {
	text := hold(Grams(b.UndyedG)) + " undyed wax, " + hold(Grams(b.DyeG())) + " dye"
	if f := b.FragranceG(); f > 0 {
		text += fmt.Sprintf(", %s fragrance (%s)", hold(Grams(f)), hold(b.Load.String()))
	}
	return text
}

// gently says why a batch that holds fragrance must not get hot.
func gently(b wax.Batch) string {
	if b.Load.Percent == 0 {
		return ""
	}
	return ", below the flash point of the fragrance in it"
}

func loadText(l wax.Load) string {
	if l.Percent == 0 {
		return "no fragrance"
	}
	return "fragrance " + hold(l.String())
}

// The temperatures and times of the wax's own record, where there are any.

func heat(w wax.Wax) string {
	if w.Bench.HeatToC == 0 {
		return ", as its supplier says"
	}
	return fmt.Sprintf(", heated to its supplier's %s", hold(Quantity(w.Bench.HeatToC, "°C")))
}

func mix(w wax.Wax) string {
	text := ""
	if w.Bench.AddFragranceAtC > 0 {
		text += " at " + hold(Quantity(w.Bench.AddFragranceAtC, "°C"))
	}
	if w.Bench.StirMinutes > 0 {
		text += " for " + hold(Quantity(w.Bench.StirMinutes, "minutes"))
	}
	return text
}

func pour(w wax.Wax) string {
	if w.Bench.PourAtC == 0 {
		return " as the wax's supplier says"
	}
	return " at " + hold(Quantity(w.Bench.PourAtC, "°C"))
}
