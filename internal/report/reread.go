package report

import (
	"fmt"
	"strings"
	"time"

	"setshade/internal/english"
	"setshade/internal/photo"
	"setshade/internal/workshop"
)

// Changes in dE00 below leastChange are not told drop by drop, and of a photograph at
// most mostTold drops.
const (
	leastChange = 0.05
	mostTold    = 3
)

// Reread tells what reading the photographs of the store again has changed.
func Reread(r workshop.Reread) string {
	if len(r.Photos) == 0 {
		return ""
	}
	var t text
	table := NewTable(Column{"photograph", false}, Column{"drops", true}, Column{"median dE00", true},
		Column{"worst", true}, Column{"most changed", false})
	fresh, refused := 0, 0
	for _, p := range r.Photos {
		if p.Refusal != nil {
			refused++
			continue
		}
		fresh++
		table.Row(p.Name, fmt.Sprint(len(p.Drops)), fixed(p.MedianDE00(), 1), fixed(p.WorstDE00(), 1), mostChanged(p))
	}
	if fresh > 0 {
		t.table("", table)
	}
	for _, p := range r.Photos {
		if p.Refusal == nil && p.Correction.IsKnown() && p.Correction.Kind != p.Before.Kind {
			t.prose(p.Name+": ", "%s", CorrectionText(p.Correction))
		}
	}
	for _, p := range r.Photos {
		if p.Refusal != nil {
			t.prose(p.Name+": ", "keeps its old numbers: %s", p.Refusal)
			if doubt := p.Doubt(); doubt > 0 {
				t.prose(p.Name+": ", "what reader %d read of it may be %g L* off in all drops alike, and is learned from with that doubt", p.OldReader, doubt)
			}
		}
	}
	did := fmt.Sprintf("%s read again with reader %d", english.Count(fresh, "photograph", "photographs"), photo.ReaderVersion)
	switch {
	case !r.Replaced:
		did += "; nothing was changed: with --accept the new numbers are put in place of the old"
	case r.Changed():
		did += ", the new numbers are in the store"
	case fresh > 0:
		did += "; all numbers are as before"
	}
	if refused > 0 {
		did += fmt.Sprintf(", %d %s old numbers", refused, english.Plural(refused, "keeps its", "keep their"))
	}
	t.prose("", "%s.", did)
	if r.Replaced && r.Changed() {
		t.line("Learn the waxes again, so that predictions rest on the new numbers.")
	}
	return t.String()
}

// BroughtBack says that the numbers are again those from before a time.
func BroughtBack(since time.Time) string {
	return fmt.Sprintf("The numbers, the anchors and what was learned are as they were before %s.\n", since.UTC().Format("2 January 2006 15:04 UTC"))
}

func mostChanged(p workshop.RereadPhoto) string {
	told := MostChangedTexts(p)
	if len(told) == 0 {
		return "none"
	}
	return strings.Join(told, "\n")
}

// MostChangedTexts names the drops that have moved most, each with how far; none where
// no change is worth telling.
func MostChangedTexts(p workshop.RereadPhoto) []string {
	var told []string
	for _, d := range p.MostChanged() {
		if d.DE00() < leastChange || len(told) == mostTold {
			break
		}
		told = append(told, fmt.Sprintf("swatch %d (%s) %s", d.Swatch.ID, DoseCell(d.Swatch.Recipe), fixed(d.DE00(), 1)))
	}
	return told
}
