package photo

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/english"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// missingDrop is a drop of the plan that was not found, where its row and the others say
// that it must lie.
type missingDrop struct {
	number int
	u, v   float64 // as of placed
}

// missingOf says which of the plan's drops are not among those found: those without which
// the others lie best in regular rows,
//
//	u = u0 + column du,   v = v0 + row dv + column slope
//
// It is nil where the drops found don't tell, such as for the end of a lone row or in
// staggered rows.
func missingOf(found []placed, rows []int) []missingDrop {
	const most, fewest, apart = 3, 3, 2.0
	total := 0
	var row, column []float64
	for i, n := range rows {
		total += n
		for j := range n {
			row, column = append(row, float64(i)), append(column, float64(j))
		}
	}
	lost := total - len(found)
	if lost < 1 || lost > most || len(found) < fewest {
		return nil
	}
	var best []missingDrop
	least, second := math.Inf(1), math.Inf(1)
	eachChoice(total, lost, func(without []int) {
		terms, u, v := mat.NewDense(len(found), 3, nil), mat.NewVecDense(len(found), nil), mat.NewVecDense(len(found), nil)
		held := make([]int, len(rows))
		n := 0
		for k := range total {
			if !slices.Contains(without, k) {
				held[int(row[k])]++
				terms.SetRow(n, []float64{1, column[k], row[k]})
				n++
			}
		}
		order := slices.Clone(found)
		slices.SortFunc(order, func(a, b placed) int { return cmp.Compare(a.v, b.v) })
		sortRows(order, held)
		for k, d := range order {
			u.SetVec(k, d.u)
			v.SetVec(k, d.v)
		}
		var across, down, left, under mat.VecDense
		level := terms.Slice(0, len(found), 0, 2)
		if across.SolveVec(level, u) != nil || down.SolveVec(terms, v) != nil {
			return
		}
		left.MulVec(level, &across)
		left.SubVec(&left, u)
		under.MulVec(terms, &down)
		under.SubVec(&under, v)
		off := math.Hypot(mat.Norm(&left, 2), mat.Norm(&under, 2))
		if off >= least {
			second = min(second, off)
			return
		}
		best, least, second = nil, off, least
		for _, k := range without {
			best = append(best, missingDrop{k + 1,
				across.AtVec(0) + column[k]*across.AtVec(1),
				down.AtVec(0) + column[k]*down.AtVec(1) + row[k]*down.AtVec(2)})
		}
	})
	if second < apart*least {
		return nil
	}
	return best
}

// eachChoice calls f with each choice of k of the numbers below n.
func eachChoice(n, k int, f func([]int)) {
	chosen := make([]int, 0, k)
	var next func(from int)
	next = func(from int) {
		if len(chosen) == k {
			f(chosen)
			return
		}
		for i := from; i < n; i++ {
			chosen = append(chosen, i)
			next(i + 1)
			chosen = chosen[:len(chosen)-1]
		}
	}
	next(0)
}

// seek looks for missing drops where they must lie, as large as the others: a drop as
// white as its card shows by its outline alone.
func (s *segmenter) seek(missing []missingDrop, found []blob, corners plane.Quad) []blob {
	s.lookAt(1)
	var sizes []float64
	for i := range found {
		sizes = append(sizes, found[i].diameter()/2)
	}
	usual := rank.Median(sizes)
	for _, m := range missing {
		middle := m.onto(corners)
		var starts []plane.Point
		for _, y := range [3]float64{0, -0.4, 0.4} {
			for _, x := range [3]float64{0, -0.4, 0.4} {
				starts = append(starts, middle.Plus(plane.Point{X: x, Y: y}.Times(usual)))
			}
		}
		const enough, narrowest, widest = 0.7, 0.6, 1.6 // radii of the others
		b, ok := s.around(starts, usual, narrowest, widest, enough)
		if size := b.diameter() / 2; ok && b.isRound() && size > narrowest*usual && size < widest*usual &&
			!slices.ContainsFunc(found, func(o blob) bool { return o.Radius(b.Centre) < 1 }) {
			found = append(found, b)
		}
	}
	return found
}

// onto is the place in the flattened card, of which the corners are given.
func (m missingDrop) onto(corners plane.Quad) plane.Point {
	width, height := sidesOf(corners)
	return plane.SquareTo(corners).Apply(plane.Point{X: m.u * height / width, Y: m.v})
}

// sidesOf are the middling width and height of a card.
func sidesOf(corners plane.Quad) (width, height float64) {
	return (corners[1].Minus(corners[0]).Length() + corners[2].Minus(corners[3]).Length()) / 2,
		(corners[3].Minus(corners[0]).Length() + corners[2].Minus(corners[1]).Length()) / 2
}

// whereabouts says in which part of the card a drop must lie.
func (m missingDrop) whereabouts(corners plane.Quad) string {
	width, height := sidesOf(corners)
	third := func(v float64, words [3]string) string { return words[min(max(int(3*v), 0), 2)] }
	down := third(m.v, [3]string{"upper", "", "lower"})
	across := third(m.u*height/width, [3]string{"left", "", "right"})
	switch {
	case down == "" && across == "":
		return "in the middle"
	case down == "":
		return "on the " + across
	case across == "":
		return map[string]string{"upper": "at the top", "lower": "at the bottom"}[down]
	}
	return down + " " + across
}

// notFound names the drops that were not found, and marks for the overlay where they must lie.
func (r *Reading) notFound(missing []missingDrop, corners plane.Quad, radius float64, origin plane.Point) *picture.Refusal {
	var words []string
	for _, m := range missing {
		words = append(words, fmt.Sprintf("%d (%s)", m.number, m.whereabouts(corners)))
		var outline []plane.Point
		for _, way := range rayWay {
			outline = append(outline, m.onto(corners).Plus(origin).Plus(way.Times(radius)))
		}
		r.missing = append(r.missing, mark{number: m.number, hull: outline})
	}
	return picture.Refuse("look at the overlay, which marks where it must lie: drip it again where nothing shows, or photograph the card in light from one side, which shows wax as white as its card by its flanks",
		"%s %s not found", english.Plural(len(missing), "drop", "drops")+" "+english.And(words), english.Plural(len(missing), "was", "were"))
}
