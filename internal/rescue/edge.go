package rescue

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// cheapest finds the point of a set of dyes that spares the most of what the maker
// wants to spare, among those within the tolerance; the nearest point where none is
// within it. It follows the points that are least in
//
//	w price / price₀ + dE00²/2
//
// from w = 0, the nearest, to the w at which the tolerance is used up: there the
// slopes of price and dE00 are opposite, as they are at the least price on the edge
// (Kuhn and Tucker 1951, Proc. 2nd Berkeley Symp. 481).
func (q *quest) cheapest(set []colour, leastShare float64) point {
	nearest, a := q.aim(set, leastShare), q.newAim(set, leastShare)
	if len(set) == 0 {
		return a.leastDiluted(nearest)
	}
	if !a.spares(nearest) {
		return nearest
	}
	scale := 1 / math.Max(a.toSpare(nearest), 1e-9)
	best, low, high := nearest, 1e-9, 1e-9
	for high < 1e9 {
		p := a.sparing(best, high*scale)
		if !a.spares(p) {
			break
		}
		best, low, high = p, high, 10*high
	}
	for range 40 {
		middle := math.Sqrt(low * high)
		if p := a.sparing(best, middle*scale); a.spares(p) {
			best, low = p, middle
		} else {
			high = middle
		}
	}
	return best
}

// spares reports whether a point is within the tolerance, and sets something aside
// where that is what to spare: no one wants less waste than none.
func (a *aim) spares(p point) bool {
	return p.de00 <= a.ToleranceDE00*(1-1e-9) && (a.Prefer != LeastWaste || a.toSpare(p) >= 0)
}

// leastDiluted adds as little undyed wax alone as the tolerance allows.
func (a *aim) leastDiluted(nearest point) point {
	diluted := func(u float64) point {
		lab := a.lab(a.Batch.Recipe.Scaled(math.Exp(u)))
		return point{u: u, lab: lab, de00: spectrum.DE00(lab, a.wanted)}
	}
	best, beyond := diluted(nearest.u), 0.0
	if !a.spares(best) {
		return nearest
	}
	for range 60 {
		if p := diluted((best.u + beyond) / 2); a.spares(p) {
			best = p
		} else {
			beyond = p.u
		}
	}
	return best
}

// toSpare is what the preference wants little of. Waste is told below 0 while there
// is room in the pot, so that it has a slope everywhere.
func (a *aim) toSpare(p point) float64 {
	after, s := a.mix(p, a.set), math.Exp(p.u)
	if a.Prefer == LeastWaste {
		return a.Batch.UndyedG - s*a.capacityG()/(a.besideDye()+doseSum(after)/1000)
	}
	return a.price(a.masses(s, a.wholeG(s, after), after))
}

// sparing goes down from a point in dE00²/2 with a weight on what to spare, as descend
// does without.
func (a *aim) sparing(p point, weight float64) point {
	const rounds = 60
	worth := func(p point) float64 { return weight*a.toSpare(p) + p.de00*p.de00/2 }
	value, damping := worth(p), 1e-3
	for range rounds {
		gradient, hessian := a.slopes(p)
		a.addPrice(p, weight, gradient, hessian)
		moved := false
		for ; damping < 1e8 && !moved; damping *= 4 {
			next := a.step(p, gradient, hessian, damping)
			if v := worth(next); v < value {
				if value-v < 1e-13*(1+math.Abs(value)) {
					return next
				}
				p, value, moved = next, v, true
				damping = max(damping/40, 1e-12)
			}
		}
		if !moved {
			return p
		}
	}
	return p
}

// addPrice adds slope and, where it helps, bend of what to spare, by differences.
func (a *aim) addPrice(p point, weight float64, gradient []float64, hessian *mat.SymDense) {
	here := a.toSpare(p)
	const h = 1e-4
	up, down := p, p
	up.u, down.u = p.u+h, p.u-h
	above, below := a.toSpare(up), a.toSpare(down)
	gradient[0] += weight * (above - below) / (2 * h)
	hessian.SetSym(0, 0, hessian.At(0, 0)+max(0, weight*(above+below-2*here)/(h*h)))
	for i, c := range a.set {
		// Forward only: there is no less than none of a dye.
		step := h * c.mostG
		once, twice := p, p
		once.v[i], twice.v[i] = p.v[i]+step, p.v[i]+2*step
		gradient[1+i] += weight * (4*a.toSpare(once) - a.toSpare(twice) - 3*here) / (2 * step)
	}
}

// leastUndyed is the least undyed wax, up to what comes nearest, that keeps a measured
// answer within the tolerance.
func leastUndyed(miss func(addG float64) float64, nearestG, tolerance float64) float64 {
	least, tooLittle := nearestG, 0.0
	if miss(nearestG) > tolerance {
		return nearestG
	}
	if miss(0) <= tolerance {
		return 0
	}
	for range 60 {
		if middle := (least + tooLittle) / 2; miss(middle) <= tolerance {
			least = middle
		} else {
			tooLittle = middle
		}
	}
	return least
}
