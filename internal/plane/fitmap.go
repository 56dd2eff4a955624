package plane

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/rank"
)

// Pair is a place and where it was found.
type Pair struct{ From, To Point }

// FitMap returns the homography that maps the pairs' places onto where they
// were found, by least squares, with pairs that do not fit left out, and which
// were kept. It needs four pairs or more, no three of the four in a line; false
// when they don't settle it.
//
// It begins with the map, of those through four pairs drawn at random, whose
// median distance is the least: half of the pairs may be wrong without misleading
// it (Rousseeuw 1984, "Least median of squares regression", J. Am. Stat. Assoc.
// 79). Then left out is what lies farther off than three standard deviations,
// judged by the median of the distances, but never less than leastPx: places are
// not found better than that.
func FitMap(pairs []Pair) (m Homography, kept []Pair, ok bool) {
	const rounds, leastPx = 5, 0.5
	if m, ok = leastMedianMap(pairs); !ok {
		return m, nil, false
	}
	for range rounds {
		off := distances(m, pairs)
		limit := max(leastPx, 3*rank.Sigma(slices.Clone(off)))
		next := make([]Pair, 0, len(pairs))
		for i, p := range pairs {
			if off[i] <= limit {
				next = append(next, p)
			}
		}
		settled := slices.Equal(next, kept)
		if kept = next; settled {
			break
		}
		if m, ok = leastSquaresMap(kept); !ok {
			return m, nil, false
		}
	}
	return m, kept, true
}

func distances(m Homography, pairs []Pair) []float64 {
	off := make([]float64, len(pairs))
	for i, p := range pairs {
		off[i] = m.Apply(p.From).Minus(p.To).Length()
	}
	return off
}

// leastMedianMap tries maps through four pairs, the same ones each time, after
// that through all.
func leastMedianMap(pairs []Pair) (best Homography, ok bool) {
	const draws = 60 // all wrong when half of the pairs are: 0.94^60, one in 40
	best, ok = leastSquaresMap(pairs)
	if !ok || len(pairs) == 4 {
		return best, ok
	}
	least := rank.Median(distances(best, pairs))
	rng := rand.New(rand.NewPCG(1, uint64(len(pairs))))
	four := make([]Pair, 4)
	for range draws {
		for k, i := range rng.Perm(len(pairs))[:4] {
			four[k] = pairs[i]
		}
		if inLine(four) {
			continue
		}
		if m, settled := mapThrough(four); settled {
			if off := rank.Median(distances(m, pairs)); off < least {
				best, least = m, off
			}
		}
	}
	return best, true
}

// inLine reports whether three of four places lie in a line. They leave the map open,
// and noise settles it anyhow: it then fits everything else on that line, and nothing
// beside it.
func inLine(four []Pair) bool {
	const thin = 1e-6 // of the square of the longest side
	for out := range four {
		a, b, c := four[(out+1)%4].From, four[(out+2)%4].From, four[(out+3)%4].From
		ab, ac := b.Minus(a), c.Minus(a)
		long := max(ab.Length(), ac.Length())
		if math.Abs(ab.X*ac.Y-ab.Y*ac.X) <= thin*long*long {
			return true
		}
	}
	return false
}

// mapThrough is the map through four pairs, by way of the unit square; false when
// three of where they were found lie in a line.
func mapThrough(four []Pair) (Homography, bool) {
	var from, to Quad
	for k, p := range four {
		from[k], to[k] = p.From, p.To
	}
	m := SquareTo(to).After(SquareTo(from).Inverse())
	sum := 0.0
	for _, v := range m {
		sum += v
	}
	return m, !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// leastSquaresMap is the direct linear transform: two rows for each pair,
//
//	[ 0  -w'Xᵀ  y'Xᵀ ] h = 0
//	[ w'Xᵀ  0  -x'Xᵀ ] h = 0
//
// with h the right singular vector of the smallest singular value. Both sides
// are first moved to mean 0 and mean distance √2, without which the rows are of
// very different size (Hartley 1997, "In defense of the eight-point algorithm",
// IEEE Trans. Pattern Anal. Mach. Intell. 19(6)).
func leastSquaresMap(pairs []Pair) (Homography, bool) {
	if len(pairs) < 4 {
		return Homography{}, false
	}
	var from, to []Point
	for _, p := range pairs {
		from, to = append(from, p.From), append(to, p.To)
	}
	before, after := normaliser(from), normaliser(to)
	// A row of zeros makes four pairs' eight rows nine, so that the thin
	// decomposition holds the ninth vector too.
	rows := mat.NewDense(max(9, 2*len(pairs)), 9, nil)
	for i, p := range pairs {
		a, b := before.Apply(p.From), after.Apply(p.To)
		rows.SetRow(2*i, []float64{0, 0, 0, -a.X, -a.Y, -1, b.Y * a.X, b.Y * a.Y, b.Y})
		rows.SetRow(2*i+1, []float64{a.X, a.Y, 1, 0, 0, 0, -b.X * a.X, -b.X * a.Y, -b.X})
	}
	var svd mat.SVD
	if !svd.Factorize(rows, mat.SVDThinV) {
		return Homography{}, false
	}
	const settled = 1e-9 // a second direction as good as the best leaves the map open
	values := svd.Values(nil)
	if values[7] < settled*values[0] {
		return Homography{}, false
	}
	var v mat.Dense
	svd.VTo(&v)
	var h Homography
	for k := range h {
		h[k] = v.At(k, 8)
	}
	h = after.Inverse().After(h).After(before)
	return h, !math.IsNaN(h[0])
}

// normaliser maps the points to mean 0 and mean distance √2.
func normaliser(points []Point) Homography {
	var centre Point
	for _, p := range points {
		centre = centre.Plus(p)
	}
	n := float64(len(points))
	centre = centre.Times(1 / n)
	far := 0.0
	for _, p := range points {
		far += p.Minus(centre).Length() / n
	}
	s := math.Sqrt2 / max(far, 1e-12)
	return Homography{s, 0, -s * centre.X, 0, s, -s * centre.Y, 0, 0, 1}
}
