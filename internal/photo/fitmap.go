package photo

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// pair is a place and where it was found.
type pair struct{ from, to point }

// fitMap returns the homography that maps the pairs' places onto where they
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
func fitMap(pairs []pair) (m homography, kept []pair, ok bool) {
	const rounds, leastPx, madToSigma = 5, 0.5, 1.4826
	if m, ok = leastMedianMap(pairs); !ok {
		return m, nil, false
	}
	for range rounds {
		off := distances(m, pairs)
		limit := max(leastPx, 3*madToSigma*median(slices.Clone(off)))
		next := make([]pair, 0, len(pairs))
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

func distances(m homography, pairs []pair) []float64 {
	off := make([]float64, len(pairs))
	for i, p := range pairs {
		off[i] = m.apply(p.from).minus(p.to).length()
	}
	return off
}

// leastMedianMap tries maps through four pairs, the same ones each time, after
// that through all.
func leastMedianMap(pairs []pair) (best homography, ok bool) {
	const draws = 60 // all wrong when half of the pairs are: 0.94^60, one in 40
	best, ok = leastSquaresMap(pairs)
	if !ok || len(pairs) == 4 {
		return best, ok
	}
	least := median(distances(best, pairs))
	rng := rand.New(rand.NewPCG(1, uint64(len(pairs))))
	four := make([]pair, 4)
	for range draws {
		for k, i := range rng.Perm(len(pairs))[:4] {
			four[k] = pairs[i]
		}
		if m, settled := leastSquaresMap(four); settled {
			if off := median(distances(m, pairs)); off < least {
				best, least = m, off
			}
		}
	}
	return best, true
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
func leastSquaresMap(pairs []pair) (homography, bool) {
	if len(pairs) < 4 {
		return homography{}, false
	}
	var from, to []point
	for _, p := range pairs {
		from, to = append(from, p.from), append(to, p.to)
	}
	before, after := normaliser(from), normaliser(to)
	// A row of zeros makes four pairs' eight rows nine, so that the thin
	// decomposition holds the ninth vector too.
	rows := mat.NewDense(max(9, 2*len(pairs)), 9, nil)
	for i, p := range pairs {
		a, b := before.apply(p.from), after.apply(p.to)
		rows.SetRow(2*i, []float64{0, 0, 0, -a.x, -a.y, -1, b.y * a.x, b.y * a.y, b.y})
		rows.SetRow(2*i+1, []float64{a.x, a.y, 1, 0, 0, 0, -b.x * a.x, -b.x * a.y, -b.x})
	}
	var svd mat.SVD
	if !svd.Factorize(rows, mat.SVDThinV) {
		return homography{}, false
	}
	const settled = 1e-9 // a second direction as good as the best leaves the map open
	values := svd.Values(nil)
	if values[7] < settled*values[0] {
		return homography{}, false
	}
	var v mat.Dense
	svd.VTo(&v)
	var h homography
	for k := range h {
		h[k] = v.At(k, 8)
	}
	h = after.inverse().after(h).after(before)
	return h, !math.IsNaN(h[0])
}

// normaliser maps the points to mean 0 and mean distance √2.
func normaliser(points []point) homography {
	var centre point
	for _, p := range points {
		centre = centre.plus(p)
	}
	n := float64(len(points))
	centre = centre.times(1 / n)
	far := 0.0
	for _, p := range points {
		far += p.minus(centre).length() / n
	}
	s := math.Sqrt2 / max(far, 1e-12)
	return homography{s, 0, -s * centre.x, 0, s, -s * centre.y, 0, 0, 1}
}

// after returns the map that does b first, then m.
func (m homography) after(b homography) (out homography) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[3*i+j] += m[3*i+k] * b[3*k+j]
			}
		}
	}
	return out
}

// jacobian returns the derivative of the map at a point, row by row: how a small
// step there looks in the picture.
func (m homography) jacobian(p point) [4]float64 {
	w := m[6]*p.x + m[7]*p.y + m[8]
	q := m.apply(p)
	return [4]float64{
		(m[0] - q.x*m[6]) / w, (m[1] - q.x*m[7]) / w,
		(m[3] - q.y*m[6]) / w, (m[4] - q.y*m[7]) / w,
	}
}
