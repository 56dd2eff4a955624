package photo

import "slices"

// Turned returns the drops in the card order that they have when the photograph is
// turned clockwise by quarters of a turn, 1 to 3: at each place the index of the drop
// in Drops. It is nil when the rows that were expected do not fit the card so turned.
//
// A printed card tells how it lies, so only the half turn is given: its drops counted
// from the last.
func (r Reading) Turned(quarters int) []int { return r.turned[quarters%4] }

// turnedPrinted counts n drops from the last.
func turnedPrinted(n int) (turned [4][]int) {
	for i := range n {
		turned[2] = append(turned[2], n-1-i)
	}
	return turned
}

// turnedPlain turns drops in card order on their card and puts them in order anew.
func turnedPlain(drops []placed, rows []int) (turned [4][]int) {
	now := slices.Clone(drops)
	for i := range now {
		now[i].number = i
	}
	for quarters := 1; quarters < len(turned); quarters++ {
		for i := range now {
			d := &now[i]
			d.u, d.v = -d.v, d.u
		}
		again := slices.Clone(now)
		if _, refusal := inCardOrder(again, rows); refusal != nil {
			continue
		}
		for _, d := range again {
			turned[quarters] = append(turned[quarters], d.number)
		}
	}
	return turned
}
