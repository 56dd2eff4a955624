package report

import (
	"fmt"
	"slices"
	"strings"

	"setshade/internal/batch"
	"setshade/internal/english"
	"setshade/internal/spectrum"
	"setshade/internal/units"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// Remedy writes a rescue as steps at the bench.
func Remedy(c Colours, r workshop.Remedy) string {
	var t text
	t.verdict(r)
	t.line("")
	t.trouble(r)
	t.outcome(c, r)
	switch {
	case len(r.Steps) > 0:
		t.line("")
		t.steps(c, r)
		t.pot(r)
	case r.AddedG() == 0:
		t.line("\nAdd nothing: nothing that may be added brings this batch nearer.")
	}
	t.limits(r.Limits)
	t.untested(allUntested(r))
	t.line("")
	if o := r.Outcome; o != nil {
		t.line("Came out: %s, swatch %d", c.Shade(o.Swatch.Colour.Lab), o.Swatch.ID)
		if o.MissDE00 != nil {
			t.prose("", "That is %s dE00 from wanted: %s.", DE00(*o.MissDE00), workshop.Seen(*o.MissDE00))
		}
	}
	if r.Number > 0 {
		t.prose("", "This is rescue %d; setshade rescue show %d tells it again.", r.Number, r.Number)
	}
	t.prose("", screensDiffer)
	return t.String()
}

// Rescues writes the rescues of a store; nothing when there is none.
func Rescues(c Colours, rescues []workshop.KeptRescue) string {
	if len(rescues) == 0 {
		return ""
	}
	var t text
	table := NewTable(Column{"rescue", true}, Column{"begun", false}, Column{"wax, g", true}, Column{"dose", false}, Column{"wanted", false}, Column{"stands at", false})
	for _, k := range rescues {
		stands := "the first step"
		switch n := k.Followed(); {
		case k.Outcome != nil:
			stands = fmt.Sprintf("done, swatch %d", k.SwatchID)
		case k.Course.Next == nil:
			stands = "nothing more to add"
		case n > 0:
			stands = english.Count(n, "step", "steps") + " added"
		}
		table.Row(fmt.Sprint(k.Number), k.BegunAt.Format("2006-01-02"), strings.TrimSuffix(Grams(k.Course.Batch.UndyedG), " g"),
			stackedDose(k.Course.Batch.Recipe), c.Shade(k.Course.Target.Colour.Lab), stands)
	}
	t.table("", table)
	return t.String()
}

// trouble says what is in the pot.
func (t *text) trouble(r workshop.Remedy) {
	t.prose("", "The batch: %s; %s in all.", contents(r.Batch), hold(Grams(r.Batch.TotalG())))
	dose := fmt.Sprintf("%s in %s", DoseText(r.Batch.Recipe), r.Wax.Name)
	switch {
	case r.Plan == nil && r.FromDrop && r.Readings == 0:
		dose += fmt.Sprintf(" (read off the drop, %s dE00 from its colour)", DE00(r.DropMissDE00))
	case r.Readings > 0:
		dose += fmt.Sprintf(" (after %s; %s dE00 from the last)", english.Count(r.Readings, "drop", "drops"), DE00(r.DropMissDE00))
	}
	t.prose("", "Its dose: %s.", dose)
	t.beside(r)
}

// beside tells the plan beside the drop.
func (t *text) beside(r workshop.Remedy) {
	if r.Plan == nil {
		return
	}
	t.prose("", "As planned: %s; the drop lies %s dE00 from what that looks like.", DoseText(r.Plan.Recipe), DE00(r.Plan.MissDE00))
	t.prose("", "The answer follows plan and drop weighed together: a weighed dose is taken to be good to 5 %%.")
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
		if r.Plan != nil {
			table.Row("as planned", c.Shade(r.Plan.Shade.Lab), within(r.Plan.Shade.Within95))
		}
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
	step("Melt the batch gently%s, and stir it.", gently(r.Batch))
	also("%s", batch.HotWax)
	if r.SetAside != nil {
		step("Set aside %s of it: there is no room for it all. It is stock, to be used: %s.", hold(Grams(r.SetAside.TotalG())), contents(r.SetAside.Batch))
		t.label(*r.SetAside)
	}
	if r.AddUndyedG > 0 {
		step("Melt %s of undyed %s in a pot of its own%s.", hold(Grams(r.AddUndyedG)), r.Wax.Name, heat(r.Wax))
		if w := UndyedDoubtText(r); w != "" {
			also("%s", w)
		}
	}
	if len(r.Dyes) > 0 {
		step("Measure out %s.", dyesText(r.Dyes))
		t.rounding(r)
		also("%s", batch.SkinAndPets)
	}
	for _, x := range r.AddAdditives {
		if x.G > 0 {
			step("Stir %s of %s into the undyed wax: that keeps its share.", hold(Grams(x.G)), x.Name)
		}
	}
	if r.AddFragranceG > 0 {
		step("Stir %s of fragrance into the undyed wax%s: that keeps the load at %s.", hold(Grams(r.AddFragranceG)), mix(r.Wax), hold(r.After.Load.String()))
		also("%s", batch.FlashPoint)
		if len(r.Dyes) == 0 {
			also("%s", batch.SkinAndPets)
		}
	}
	for i, s := range r.Steps {
		if i < len(r.Steps)-1 {
			step("Add two thirds to the batch, %s, and stir.", portion(s))
			step("Drip a drop on white card and let it set; liquid wax looks darker. Expect")
			t.line("      %s, %s", c.Shade(s.Drop.Lab), within(s.Drop.Within95))
			also("Read it from a photograph with: setshade record PHOTO --dry-run. Not that colour? %s", goOn(r))
			continue
		}
		all := "the rest, "
		if i == 0 {
			all = ""
		}
		step("Add %s%s, and stir. Drip again; expect", all, portion(s))
		t.line("      %s, %s", c.Shade(s.Drop.Lab), within(s.Drop.Within95))
	}
	step("Pour%s.", pour(r.Wax))
}

// goOn says how a rescue follows a drop: by its number where it is kept.
func goOn(r workshop.Remedy) string {
	number := "NUMBER"
	if r.Number > 0 {
		number = fmt.Sprint(r.Number)
	}
	return "Let the rescue go on from it: setshade rescue continue " + number + " --drop COLOUR."
}

// label tells what to write on what is set aside, and how to keep it on record when
// it is not yet.
func (t *text) label(s wax.Stock) {
	label := fmt.Sprintf("%s, %s, %s", s.Wax, DoseText(s.Recipe), loadText(s.Load))
	for _, x := range s.Additives {
		label += fmt.Sprintf(", %s %s", x.Name, hold(Quantity(x.Percent, "%")))
	}
	if s.Number > 0 {
		t.prose("   ", "It is on record as stock %d, and setshade match uses it. Label it \"Stock %d: %s\".", s.Number, s.Number, label)
		return
	}
	t.prose("   ", "Label it \"%s\". Keep it on record, so that setshade match uses it, with --keep-stock, or with", label)
	t.line("      %s", addStock(s))
}

// addStock is the command that keeps dyed wax on record.
func addStock(s wax.Stock) string {
	command := fmt.Sprintf("setshade stock add %s --wax %s --mass %.1f", Quoted(DoseText(s.Recipe)), Quoted(s.Wax), s.TotalG())
	if s.Load.Percent > 0 {
		command += fmt.Sprintf(" --load %g --load-per %s", s.Load.Percent, s.Load.Per)
	}
	for _, x := range s.Additives {
		command += " --additive " + Quoted(fmt.Sprintf("%s %g%%", x.Name, x.Percent))
	}
	return command
}

// UndyedDoubtText says how far the undyed wax that is needed may turn out to differ,
// "" when none is added or more of it changes nothing.
func UndyedDoubtText(r workshop.Remedy) string {
	w := r.UndyedWithin95G
	if w == 0 {
		return ""
	}
	so := "that is why a drop comes first"
	if len(r.Steps) == 1 {
		so = "to be sure, add no more than the lesser first, and drip"
	}
	return fmt.Sprintf("It may turn out to need %s to %s, 95 times in 100: %s.",
		hold(Grams(max(0, r.AddUndyedG-w))), hold(Grams(r.AddUndyedG+w)), so)
}

// rounding tells what measuring dyes out in whole portions costs.
func (t *text) rounding(r workshop.Remedy) {
	if d := spectrum.DE00(r.Reached.Lab, r.Exact.Reached.Lab); d >= 0.05 {
		var exact []string
		for _, a := range r.Exact.AddDyes {
			exact = append(exact, hold(significant(a.G, 3)+" g of "+a.Dye))
		}
		t.prose("   ", "To the gram it would be %s; the rounding is worth %s dE00.", english.And(exact), DE00(d))
	}
}

// dyesText lists dyes as they are measured out.
func dyesText(dyes []workshop.MeasuredDye) string {
	out := make([]string, len(dyes))
	for i, d := range dyes {
		amount := fixed(d.Count, 2) + " g"
		if d.Unit != string(units.Gram) {
			amount = fmt.Sprintf("%s (%s)", Counted(d.Count, d.Unit), Grams(d.G))
		}
		out[i] = hold(amount) + " of " + d.Dye
	}
	return english.And(out)
}

// portion is what one step adds, fragrance and additives included.
func portion(s workshop.Step) string {
	var parts []string
	all := s.UndyedG + s.AddFragranceG
	parts = append(parts, hold(Grams(s.UndyedG))+" wax")
	for _, x := range s.AddAdditives {
		all += x.G
		parts = append(parts, hold(Grams(x.G))+" "+x.Name)
	}
	if s.AddFragranceG > 0 {
		parts = append(parts, hold(Grams(s.AddFragranceG))+" fragrance")
	}
	text := hold(Grams(all))
	if len(parts) > 1 {
		text += " (" + strings.Join(parts, ", ") + ")"
	}
	switch {
	case len(s.Dyes) == 0:
		return text
	case s.UndyedG == 0:
		return dyesText(s.Dyes)
	}
	return text + " with " + dyesText(s.Dyes)
}

// pot says what is in the pot at the end.
func (t *text) pot(r workshop.Remedy) {
	t.line("")
	t.prose("", "In the pot then: %s: %s. Its dose: %s.", hold(Grams(r.After.TotalG())), contents(r.After), DoseText(r.After.Recipe))
}

// limits says what cannot be done, or not well, and what would lift that.
func (t *text) limits(limits []string) {
	if len(limits) == 0 {
		return
	}
	t.line("\nWhat this cannot mend:")
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
	text := hold(Grams(b.UndyedG)) + " undyed wax"
	if len(b.Recipe) > 0 {
		text += ", " + hold(Grams(b.DyeG())) + " dye"
	}
	if f := b.FragranceG(); f > 0 {
		text += fmt.Sprintf(", %s fragrance (%s)", hold(Grams(f)), hold(b.Load.String()))
	}
	for _, a := range b.Additives {
		text += ", " + additiveText(a, b.UndyedG)
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
