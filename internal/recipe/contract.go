package recipe

import "math"

// row is one linear condition on the strengths d above the box's least:
//
//	low <= Σ_j per_j d_j <= high
//
// It is a combination of the conditions on L*, a* and b*, with these shares.
type row struct {
	per    [MostDyes]float64
	shares [3]float64
}

// contract narrows the strengths of a box to those whose colour can be near the
// target, and returns false when there are none. It takes the conditions on
// L*, a*, b* as they are and once more solved for the dyes by Gauss and Jordan's
// elimination, each dye in turn where it tells most.
func (e *enclosure) contract(dyes int, n *near) (from, to [MostDyes]float64, any bool) {
	to = e.width
	var rows [3]row
	for r := range rows {
		rows[r].per = e.per[r]
		rows[r].shares[r] = 1
	}
	for r := range rows {
		if !e.narrow(&rows[r], dyes, n, &from, &to) {
			return from, to, false
		}
	}
	if dyes == 1 {
		return from, to, true
	}
	solve(&rows, dyes, &e.width, n)
	for r := range rows {
		if !e.narrow(&rows[r], dyes, n, &from, &to) {
			return from, to, false
		}
	}
	return from, to, true
}

// solve eliminates.
func solve(rows *[3]row, dyes int, width *[MostDyes]float64, n *near) {
	var used [3]bool
	var done [MostDyes]bool
	for range min(dyes, 3) {
		best, pivot, column := 0.0, -1, -1
		for r := range rows {
			if used[r] {
				continue
			}
			low, high := n.span(&rows[r].shares)
			tells := 2 / (high - low)
			for j := range dyes {
				if v := math.Abs(rows[r].per[j]) * width[j] * tells; !done[j] && v > best {
					best, pivot, column = v, r, j
				}
			}
		}
		// What is left moves the colour by less than the ellipsoid.
		if best < 0.1 {
			return
		}
		used[pivot], done[column] = true, true
		for r := range rows {
			if r == pivot {
				continue
			}
			f := rows[r].per[column] / rows[pivot].per[column]
			for j := range dyes {
				rows[r].per[j] -= f * rows[pivot].per[j]
			}
			for c := range 3 {
				rows[r].shares[c] -= f * rows[pivot].shares[c]
			}
			rows[r].per[column] = 0
		}
	}
}

// narrow applies one condition to the strengths.
func (e *enclosure) narrow(r *row, dyes int, n *near, from, to *[MostDyes]float64) bool {
	low, high := n.span(&r.shares)
	size := high - low
	for c, s := range r.shares {
		low -= s*e.at[c] + max(s*e.least[c], s*e.most[c])
		high -= s*e.at[c] + min(s*e.least[c], s*e.most[c])
		size += math.Abs(s * e.at[c])
	}
	low, high = low-rounding*size, high+rounding*size
	var least, most [MostDyes]float64
	sumLeast, sumMost := 0.0, 0.0
	for j := range dyes {
		a, b := r.per[j]*from[j], r.per[j]*to[j]
		least[j], most[j] = min(a, b), max(a, b)
		sumLeast += least[j]
		sumMost += most[j]
	}
	if sumLeast > high || sumMost < low {
		return false
	}
	for j := range dyes {
		p := r.per[j]
		if most[j]-least[j] <= rounding*size {
			continue
		}
		a, b := (low-(sumMost-most[j]))/p, (high-(sumLeast-least[j]))/p
		slack := rounding * e.width[j]
		from[j] = max(from[j], min(a, b)-slack)
		to[j] = min(to[j], max(a, b)+slack)
		if from[j] > to[j] {
			return false
		}
	}
	return true
}
