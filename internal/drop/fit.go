package drop

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/leastsquares"
	"setshade/internal/rank"
)

// Reading is what the drops of a photograph were read as.
type Reading struct {
	// Body is X, Y, Z of each drop over those of card white: the light that leaves its
	// middle, without what it mirrors.
	Body [][3]float64
	// Covariance of the bodies, drop by drop, X, Y, Z in each: what each has of its own
	// and what all share, the level of the room's mirrored light first of all.
	Covariance *mat.SymDense
	// Indoors is how likely it is that a window or lamp lit the card, and not the sky.
	Indoors float64
	// Mirrored is the light mirrored at the middle of each drop, as a share of white.
	Mirrored []float64
	// Wax is for each cell of each drop how well wax explains it: near 1 for wax,
	// towards 0 for what is something else.
	Wax [][]float64
}

// Read fits the model to the drops of one photograph. toXYZ takes the file's channels to
// X, Y and Z. It is false where there are no drops, one has fewer than FewestCells cells,
// or the fit fails, as it does on numbers that are not finite.
func Read(seen []Seen, toXYZ [3][3]float64, liquid bool) (Reading, bool) {
	m, ok := newModel(seen, toXYZ, liquid)
	if !ok {
		return Reading{}, false
	}
	found := m.seek()
	var tried [kinds]Reading
	var weight [kinds]float64
	odds := m.odds(found)
	best := math.Inf(-1)
	for k := range kinds {
		if math.IsInf(odds[k], -1) {
			weight[k] = odds[k]
			continue
		}
		supposed, at := *m, leastsquares.Minimum{X: found}
		if liquid { // whose shield is as large as a lobe, and is sought with it
			supposed.kind = m.suppose(k, found)
			at.X = supposed.seek()
			supposed.scale = m.scale
		}
		const hopeless = 20 // a weight of e^-20 changes nothing
		for range 2 {
			supposed.kind = supposed.suppose(k, at.X)
			at = leastsquares.Minimise(at.X, 15, settled, supposed.fill)
			if odds[k]-at.Cost < best-hopeless {
				break
			}
		}
		if tried[k], ok = supposed.reading(&at); !ok {
			return Reading{}, false
		}
		weight[k] = odds[k] - at.Cost
		best = max(best, weight[k])
	}
	sum := 0.0
	for k := range weight {
		weight[k] = math.Exp(weight[k] - best)
		sum += weight[k]
	}
	for k := range weight {
		weight[k] /= sum
	}
	return mixed(tried, weight), true
}

// settled is the share of the cost that a last step of the search may still gain, and
// roughly what it may where only the size of the residuals is asked.
const (
	settled = 1e-5
	roughly = 1e-4
)

// newModel is the model before any room is supposed: the light above may be anything
// from a dark ceiling to the sky.
func newModel(seen []Seen, toXYZ [3][3]float64, liquid bool) (*model, bool) {
	m := &model{seen: seen, liquid: liquid, scale: 1, first: len(seen) * ofDrop, kind: kind{room: 0.025, roomSD: 0.012}}
	inverse := mat.NewDense(3, 3, nil)
	matrix := mat.NewDense(3, 3, nil)
	for i, row := range toXYZ {
		matrix.SetRow(i, row[:])
	}
	if len(seen) == 0 || inverse.Inverse(matrix) != nil {
		return nil, false
	}
	for _, d := range seen {
		if len(d.Cells) < FewestCells {
			return nil, false
		}
		var white mat.VecDense
		white.MulVec(matrix, mat.NewVecDense(3, d.White[:]))
		var t [3][3]float64
		for ch := range 3 {
			for j := range 3 {
				t[ch][j] = inverse.At(ch, j) * white.AtVec(j)
			}
		}
		m.toFile = append(m.toFile, t)
	}
	return m, true
}

// start is where the search begins: each drop has its median colour.
func (m *model) start() []float64 {
	x := make([]float64, m.unknowns())
	for _, p := range m.priors() {
		x[p.unknown] = p.mean
	}
	for d := range m.seen {
		light := mat.NewVecDense(3, nil)
		matrix := mat.NewDense(3, 3, nil)
		for ch := range 3 {
			values := make([]float64, 0, len(m.seen[d].Cells))
			for i := range m.seen[d].Cells {
				values = append(values, m.seen[d].Cells[i].Light[ch])
			}
			light.SetVec(ch, rank.Median(values))
			matrix.SetRow(ch, m.toFile[d][ch][:])
		}
		var value mat.VecDense
		if value.SolveVec(matrix, light) != nil {
			continue
		}
		const darkest = 0.004
		for j := range 3 {
			x[d*ofDrop+body+j] = math.Log(max(value.AtVec(j)-m.kind.room, darkest))
		}
	}
	const faint = 0.02
	x[m.first+height], x[m.first+tail] = math.Log(faint), math.Log(lampTail)
	return x
}

// seek finds shade and lobe: the lobe from every side, since a search that starts on the
// wrong side of the drops does not find it.
func (m *model) seek() []float64 {
	const sides, tilted, some = 8, 0.3, 3
	start := m.start()
	thin := *m
	thin.seen = make([]Seen, len(m.seen))
	for d, s := range m.seen {
		thin.seen[d] = Seen{Place: s.Place, White: s.White}
		for i := 0; i < len(s.Cells); i += some {
			thin.seen[d].Cells = append(thin.seen[d].Cells, s.Cells[i])
		}
	}
	best := leastsquares.Minimum{Cost: math.Inf(1), X: start}
	for side := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(side) / sides)
		start[m.first+lobeAt], start[m.first+lobeAt+1] = tilted*cos, tilted*sin
		if at := leastsquares.Minimise(start, 5, roughly, thin.fill); at.Cost < best.Cost {
			best = at
		}
	}
	best = leastsquares.Minimise(best.X, 20, roughly, m.fill)
	const least = 0.5 // bumps are never less
	m.scale = max(least, m.spread(best.X))
	return leastsquares.Minimise(best.X, 20, settled, m.fill).X
}

// spread is the standard deviation of the residuals, by their median.
func (m *model) spread(x []float64) float64 {
	var sizes []float64
	m.eachResidual(x, func(_, _ int, r float64) { sizes = append(sizes, math.Abs(r)) })
	return rank.Sigma(sizes)
}

// ownSpread is by how much each drop departs more from the model than the others do: one
// that the file's blocks or a blur made uneven is uneven wax, and nothing else lies on it.
// Beyond most it is half covered.
func (m *model) ownSpread(x []float64) []float64 {
	sizes := make([][]float64, len(m.seen))
	m.eachResidual(x, func(d, _ int, r float64) { sizes[d] = append(sizes[d], math.Abs(r)) })
	out := make([]float64, len(sizes))
	for d := range out {
		const most = 4
		out[d] = min(max(1, rank.Sigma(sizes[d])), most)
	}
	return out
}

func (m *model) eachResidual(x []float64, f func(d, i int, r float64)) {
	var v view
	for d := range m.seen {
		for i := range m.seen[d].Cells {
			c := &m.seen[d].Cells[i]
			m.look(d, c, x, &v)
			for ch := range 3 {
				if r, counts := m.residual(c, ch, v.light[ch]); counts {
					f(d, i, r)
				}
			}
		}
	}
}

// reading takes the bodies out of a minimum.
func (m *model) reading(at *leastsquares.Minimum) (Reading, bool) {
	inverse, ok := at.Inverse()
	if !ok {
		return Reading{}, false
	}
	n := len(m.seen)
	r := Reading{Covariance: mat.NewSymDense(3*n, nil), Wax: make([][]float64, n)}
	all := at.X[m.first:]
	for d := range n {
		own := at.X[d*ofDrop:]
		r.Body = append(r.Body, [3]float64{math.Exp(own[body]), math.Exp(own[body+1]), math.Exp(own[body+2])})
		place := m.seen[d].Place
		bright := lobe(math.Exp(all[height]), -all[lobeAt]-all[drift]*place.X-all[drift+1]*place.Y-own[stray],
			-all[lobeAt+1]-all[drift+2]*place.X-all[drift+3]*place.Y-own[stray+1],
			all[width], all[ellipse], all[ellipse+1], all[tail])
		mirrored := all[room] + bright.value
		if m.kind.shield > 0 {
			mirrored -= all[shield] * lobe(1, -all[shieldAt]-all[shieldNear]*place.X, -all[shieldAt+1]-all[shieldNear]*place.Y,
				all[shieldWide], 0, 0, math.Log(2)).value
		}
		r.Mirrored = append(r.Mirrored, mirrored)
		r.Wax[d] = make([]float64, len(m.seen[d].Cells))
		for i := range r.Wax[d] {
			r.Wax[d][i] = 1
		}
	}
	own := m.ownSpread(at.X)
	m.eachResidual(at.X, func(d, i int, v float64) {
		v /= own[d]
		r.Wax[d][i] = min(r.Wax[d][i], freedom/(freedom+v*v))
	})
	number := func(i int) int { return i/3*ofDrop + body + i%3 }
	for i := range 3 * n {
		for j := i; j < 3*n; j++ {
			r.Covariance.SetSym(i, j, inverse.At(number(i), number(j))*r.Body[i/3][i%3]*r.Body[j/3][j%3])
		}
	}
	return r, true
}

// mixed is the mean and the covariance of the readings under the kinds of room, each as
// likely as it weighs.
func mixed(tried [kinds]Reading, weight [kinds]float64) Reading {
	likeliest := 0
	for k, w := range weight {
		if w > weight[likeliest] {
			likeliest = k
		}
	}
	out := tried[likeliest]
	out.Indoors = weight[indoors]
	n := len(out.Body)
	mean := make([][3]float64, n)
	mirrored := make([]float64, n)
	for k, w := range weight {
		for d := range n {
			if w == 0 {
				continue
			}
			for j := range 3 {
				mean[d][j] += w * tried[k].Body[d][j]
			}
			mirrored[d] += w * tried[k].Mirrored[d]
		}
	}
	covariance := mat.NewSymDense(3*n, nil)
	for i := range 3 * n {
		for j := i; j < 3*n; j++ {
			sum := 0.0
			for k, w := range weight {
				if w == 0 {
					continue
				}
				off := func(i int) float64 { return tried[k].Body[i/3][i%3] - mean[i/3][i%3] }
				sum += w * (tried[k].Covariance.At(i, j) + off(i)*off(j))
			}
			covariance.SetSym(i, j, sum)
		}
	}
	out.Body, out.Covariance, out.Mirrored = mean, covariance, mirrored
	return out
}
