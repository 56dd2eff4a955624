package workshop

import (
	"strings"

	"setshade/internal/plaintext"
	"setshade/internal/wax"
)

// A dye keeps its name from lot to lot. An older lot stands on the shelf under
// that name and its own mark, "Foxglove HL-F3", so that what was poured and
// dripped with it stays what it was, and what is left of it can still be used.

// olderLotName is what a lot is called once another has taken its dye's name.
func olderLotName(dye, mark string) string { return strings.Join(strings.Fields(dye+" "+mark), " ") }

// newestLot returns the dye of which d is an older lot, nil when it is none.
func newestLot(d wax.Dye, shelf []wax.Dye) *wax.Dye {
	for i, newest := range shelf {
		if d.Lot != "" && plaintext.Same(d.Name, olderLotName(newest.Name, d.Lot)) {
			return &shelf[i]
		}
	}
	return nil
}

// newestLots are the dyes of a shelf without their older lots.
func newestLots(shelf []wax.Dye) []wax.Dye {
	var out []wax.Dye
	for _, d := range shelf {
		if newestLot(d, shelf) == nil {
			out = append(out, d)
		}
	}
	return out
}

// lotsOfDyes groups the names of dyes of which the shelf holds several lots.
func lotsOfDyes(shelf []wax.Dye) [][]string {
	var groups [][]string
	for _, newest := range newestLots(shelf) {
		group := []string{newest.Name}
		for _, d := range shelf {
			if of := newestLot(d, shelf); of != nil && of.Name == newest.Name {
				group = append(group, d.Name)
			}
		}
		if len(group) > 1 {
			groups = append(groups, group)
		}
	}
	return groups
}
