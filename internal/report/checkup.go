package report

import (
	"fmt"

	"setshade/internal/english"
	"setshade/internal/workshop"
)

// Checkup writes what a check of the store at a path found.
func Checkup(path string, found workshop.Checkup) string {
	var t text
	var looked []string
	for _, of := range []struct {
		n         int
		one, many string
	}{
		{found.Photos, "photograph", "photographs"},
		{found.Swatches, "swatch", "swatches"},
		{found.Waxes, "wax", "waxes"},
		{found.Dyes, "dye", "dyes"},
		{found.Moulds, "mould", "moulds"},
		{found.Batches, "batch", "batches"},
		{found.Stocks, "stock", "stocks"},
		{found.Strips, "strip of a printed card", "strips of printed cards"},
		{found.Learned, "wax learned", "waxes learned"},
	} {
		looked = append(looked, english.Count(of.n, of.one, of.many))
	}
	t.prose("", "The store %s has %s.", path, english.And(looked))
	for _, p := range found.Problems {
		t.prose("", "Wrong: %s.", p)
	}
	for _, s := range found.Strays {
		t.prose("", "Not needed: %s", s)
	}
	if len(found.Problems) == 0 {
		t.prose("", "All is well.")
	}
	return t.String()
}

// Copied says what is wrong with a copy, and which photographs it is without.
func Copied(found workshop.Checkup) string {
	var t text
	for _, p := range found.Damage() {
		t.prose("", "Wrong: %s.", p)
	}
	for _, p := range found.Lost {
		t.prose("", "Missing: %s.", p)
	}
	return t.String()
}

// PutBackText says in sentences that a photograph is in the store again.
func PutBackText(p *workshop.PutBack) string {
	told := fmt.Sprintf("Put back %s, the photograph of %s: it has the bytes that were recorded. It was not read again, and nothing else was changed.", p.Name, p.Of())
	if p.Aside != "" {
		told += fmt.Sprintf(" What stood in its place is now %s; remove it if you do not need it.", p.Aside)
	}
	return told
}
