package photo

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// placed is a drop with its place on the card: u along a row and v down the
// rows, both 0..1 between the card's edges, its diameter in units of v, and its
// share of the card's area, perspective undone.
type placed struct {
	blob
	u, v, size, share float64
	number            int
	// On a printed card: the diameter, how far the drop lies off its place, and,
	// of one over the black bar, which pixels lie on white and which on black.
	diameterMM, offMM float64
	onWhite, onBlack  func(i int32) bool
	// The variance of Cb and Cr, on white and on black, as the blocks of the file bear
	// it out; nil where they don't tell.
	chroma [2]*[2]float64
}

// place puts the drops on the card's own axes, so that a turned or tilted card
// keeps its rows. The corners are in pixels of the flattened window.
func place(drops []blob, corners plane.Quad) []placed {
	onto := plane.SquareTo(corners).Inverse()
	height := (corners[3].Minus(corners[0]).Length() + corners[2].Minus(corners[1]).Length()) / 2
	list := make([]placed, len(drops))
	for i, b := range drops {
		at := onto.Apply(b.Centre)
		var flat []plane.Point
		for _, p := range b.hull {
			flat = append(flat, onto.Apply(p))
		}
		list[i] = placed{blob: b, u: at.X, v: at.Y, size: b.diameter() / height, share: math.Abs(plane.PolygonArea(flat))}
	}
	return list
}

// inCardOrder sorts the drops row by row, left to right, and returns how many
// stand in each row. Rows are cut where the plan says, which the picture must
// bear out, or, without a plan, at the gaps.
func inCardOrder(drops []placed, plan []int) ([]int, *picture.Refusal) {
	slices.SortFunc(drops, func(a, b placed) int { return cmp.Compare(a.v, b.v) })
	seen := rowsSeen(drops)
	rows := seen
	if plan != nil {
		rows = plan
		if !apart(drops, plan) {
			sortRows(drops, seen)
			return seen, picture.Refuse("look at the overlay and correct the plan's rows, or set the drops in clearer rows",
				"the drops stand in rows of %s, the plan has rows of %s", counted(seen), counted(plan))
		}
	}
	sortRows(drops, rows)
	return rows, nil
}

// rowsSeen cuts where the next drop down lies more than a good half of a
// drop's diameter lower.
func rowsSeen(drops []placed) []int {
	var sizes []float64
	for _, d := range drops {
		sizes = append(sizes, d.size)
	}
	gap := 0.6 * rank.Median(sizes)
	var rows []int
	for i := range drops {
		if i == 0 || drops[i].v-drops[i-1].v > gap {
			rows = append(rows, 0)
		}
		rows[len(rows)-1]++
	}
	return rows
}

// apart reports whether the rows of the plan lie one below the other.
func apart(drops []placed, plan []int) bool {
	const least = 0.25 // of a diameter
	end := 0
	for _, n := range plan[:len(plan)-1] {
		end += n
		if n > 0 && end > 0 && end < len(drops) && drops[end].v-drops[end-1].v < least*drops[end].size {
			return false
		}
	}
	return true
}

func sortRows(drops []placed, rows []int) {
	start := 0
	for _, n := range rows {
		slices.SortFunc(drops[start:start+n], func(a, b placed) int { return cmp.Compare(a.u, b.u) })
		start += n
	}
}

// counted writes row lengths as "4 + 4 + 3".
func counted(rows []int) string {
	words := make([]string, len(rows))
	for i, n := range rows {
		words[i] = fmt.Sprint(n)
	}
	return strings.Join(words, " + ")
}
