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

// placed is a drop with its place on the card, u along a row and v down the rows, and
// its diameter, all in heights of the card, and its share of the card's area,
// perspective undone.
type placed struct {
	blob
	u, v, size, share float64
	number            int
	// On a printed card: the diameter, how far the drop lies off its place, and,
	// of one over the black bar, which pixels lie on white and which on black.
	diameterMM, offMM float64
	onWhite, onBlack  func(i int32) bool
}

// place puts the drops on the card's own axes, so that a turned or tilted card
// keeps its rows. The corners are in pixels of the flattened window.
func place(drops []blob, corners plane.Quad) []placed {
	onto := plane.SquareTo(corners).Inverse()
	width, height := sidesOf(corners)
	list := make([]placed, len(drops))
	for i, b := range drops {
		at := onto.Apply(b.Centre)
		var flat []plane.Point
		for _, p := range b.hull {
			flat = append(flat, onto.Apply(p))
		}
		list[i] = placed{blob: b, u: at.X * width / height, v: at.Y, size: b.diameter() / height, share: math.Abs(plane.PolygonArea(flat))}
	}
	return list
}

// putInOrder puts the drops of a plain card in card order, and says what speaks
// against it.
func (r *Reading) putInOrder(drops []placed, corners plane.Quad, plan []int) *picture.Refusal {
	var refusal *picture.Refusal
	r.Rows, refusal = inCardOrder(drops, plan)
	r.turned = turnedPlain(drops, plan)
	switch {
	case refusal != nil && (r.turned[1] != nil || r.turned[3] != nil):
		refusal.Do = "if the card lies on its side, turn the photograph until its rows lie level; if not, " + refusal.Do
	case plan == nil && halfTurned(corners):
		r.note("the card lies turned by half a right angle, so that the upper of its sides is a guess: write the plan's line rows, or photograph it with its rows level")
	case plan == nil && !areLevel(drops, r.Rows):
		r.note("the drops stand in no clear rows: look at the overlay to see how they are numbered, or write the plan's line rows")
	}
	return refusal
}

// halfTurned reports whether two sides of a card are about as high in the picture.
func halfTurned(corners plane.Quad) bool {
	const about = 0.2
	top := corners[1].Minus(corners[0])
	return math.Abs(math.Abs(top.X)-math.Abs(top.Y)) < about*top.Length()
}

// inCardOrder sorts the drops row by row, left to right, and returns how many
// stand in each row. Rows are cut where the plan says, which the picture must
// bear out, or, without a plan, at the gaps.
func inCardOrder(drops []placed, plan []int) ([]int, *picture.Refusal) {
	slices.SortFunc(drops, func(a, b placed) int { return cmp.Compare(a.v, b.v) })
	rows := rowsSeen(drops)
	var refusal *picture.Refusal
	if plan != nil {
		if standIn(drops, plan) {
			rows = plan
		} else {
			refusal = otherRows(rows, plan)
		}
	}
	sortRows(drops, rows)
	return rows, refusal
}

// otherRows refuses the rows of a plan for those that are seen.
func otherRows(seen, plan []int) *picture.Refusal {
	const correct = "look at the overlay and correct the plan's rows, or set the drops in clearer rows"
	if slices.Equal(seen, plan) {
		return picture.Refuse(correct, "drops that are of one row by the plan stand one above the other")
	}
	return picture.Refuse(correct, "the drops stand in rows of %s, the plan has rows of %s", counted(seen), counted(plan))
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

// standIn reports whether drops, sorted from the top, stand in the rows: each clearly
// below the one before, and its drops side by side.
func standIn(drops []placed, rows []int) bool {
	const (
		least = 0.25 // of a diameter is a row lower than the one before
		most  = 2.0  // times as far may drops of one row lie below each other
	)
	end, before := 0, 0.0
	for i, n := range rows {
		row := drops[end : end+n]
		widest := widestStep(row)
		if i > 0 {
			step := row[0].v - drops[end-1].v
			if step < least*row[0].size || max(before, widest) > most*step {
				return false
			}
		}
		end, before = end+n, widest
	}
	return areLevel(drops, rows)
}

// widestStep is how far at most a drop lies below the next higher one of its row.
func widestStep(row []placed) float64 {
	widest := 0.0
	for i := 1; i < len(row); i++ {
		widest = max(widest, row[i].v-row[i-1].v)
	}
	return widest
}

// areLevel reports whether each drop lies more beside its neighbour in the row than
// above or below it.
func areLevel(drops []placed, rows []int) bool {
	drops = slices.Clone(drops)
	sortRows(drops, rows)
	end := 0
	for _, n := range rows {
		row := drops[end : end+n]
		for i := 1; i < n; i++ {
			if math.Abs(row[i].v-row[i-1].v) >= row[i].u-row[i-1].u {
				return false
			}
		}
		end += n
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
