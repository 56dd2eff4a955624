package report

import (
	"fmt"
	"strings"
	"time"

	"setshade/internal/workshop"
)

// Batches writes the log of what was poured; nothing when it is empty.
func Batches(batches []workshop.Logged) string {
	if len(batches) == 0 {
		return ""
	}
	var t text
	table := NewTable(Column{"batch", true}, Column{"poured", false}, Column{"wax", false}, Column{"wax, g", true},
		Column{"colour", false}, Column{"miss, dE00", true})
	for _, b := range batches {
		var masses, colours, misses []string
		for i, c := range b.Colours {
			masses = append(masses, strings.TrimSuffix(Grams(c.UndyedG), " g"))
			colours = append(colours, colourTitle(c.Name, doseLines(c.Recipe)))
			misses = append(misses, missCell(b.Outcomes[i]))
		}
		table.Row(fmt.Sprint(b.ID), b.PouredAt.Format("2006-01-02"), b.Wax,
			strings.Join(masses, "\n"), strings.Join(colours, "\n"), strings.Join(misses, "\n"))
	}
	t.table("", table)
	return t.String()
}

// dayText writes a time; one at midnight was given as a day.
func dayText(at time.Time) string {
	if at.Hour() == 0 && at.Minute() == 0 {
		return at.Format("2 January 2006")
	}
	return at.Format("2 January 2006 15:04")
}

// colourTitle names a colour, one without a name by its dose.
func colourTitle(name, dose string) string {
	if name == "" {
		return dose
	}
	return name
}

func missCell(o *workshop.Outcome) string {
	if o == nil || o.MissDE00 == nil {
		return "-"
	}
	return DE00(*o.MissDE00)
}

// LoggedBatch writes everything the log has of a batch, what was promised beside
// what came of it.
func LoggedBatch(c Colours, b workshop.Logged) string {
	var t text
	t.line("Batch %d, %s, poured %s", b.ID, b.Wax, dayText(b.PouredAt))
	promised := false
	for i := range b.Colours {
		t.line("")
		t.loggedColour(c, b, i)
		promised = promised || b.Colours[i].Promise != nil
	}
	if len(b.Lots) > 0 {
		t.line("\nLots")
		table := NewTable(Column{}, Column{})
		for _, l := range b.Lots {
			table.Row(l.Of, l.Lot)
		}
		t.table("  ", table)
	}
	if len(b.Notes) > 0 {
		t.line("\nNotes")
		for _, n := range b.Notes {
			t.prose("  ", "%s", n)
		}
	}
	if promised {
		t.line("")
		t.prose("", "Promised is what was predicted on the day, of a set drop on white card; intervals hold 95 times in 100. %s", screensDiffer)
	}
	return t.String()
}

func (t *text) loggedColour(c Colours, b workshop.Logged, i int) {
	colour, outcome := b.Colours[i], b.Outcomes[i]
	title := portionsText(colour.Portions, b.Portion) + ", " + Grams(colour.TotalG())
	if colour.Name != "" {
		title = colour.Name + ": " + title
	}
	t.prose("", "%s", title)
	t.prose("  ", "%s.", contents(colour.Batch))
	t.prose("  ", "Its dose: %s.", DoseText(colour.Recipe))
	table := NewTable(Column{}, Column{}, Column{})
	if p := colour.Promise; p != nil {
		table.Row("promised", c.Shade(p.Drop.Lab), within(p.Drop.Within95))
	}
	if outcome != nil {
		table.Row("came out", c.Shade(outcome.Swatch.Colour.Lab), fmt.Sprintf("swatch %d", outcome.Swatch.ID))
	}
	t.table("  ", table)
	switch {
	case outcome == nil:
		t.prose("  ", "No drop of it was read yet: setshade batch change %d --swatch NUMBER", b.ID)
	case outcome.MissDE00 != nil:
		t.prose("  ", "It came out %s dE00 from what was promised: %s.", DE00(*outcome.MissDE00), workshop.Seen(*outcome.MissDE00))
	}
}
