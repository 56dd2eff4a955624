package report

import (
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
