package calibrate

import (
	"math"
	"slices"

	"setshade/internal/spectrum"
)

// drop is a sample made ready for the fit.
type drop struct {
	piece
	whitener
	id     int64
	colour spectrum.Measured
	moved  [3]float64 // added to the whitened residual; 0 but in Explore
	bow
}

// weights are the numbers chosen by the evidence.
type weights struct {
	// smoothness is the precision of the second differences of the curves.
	smoothness float64
	// noise is the dE00, root mean square over the three directions together,
	// that a set drop may miss by beyond its measured error; liquidNoise that
	// of a liquid drop, so that these can't harm the set ones.
	noise, liquidNoise float64
}

// kinks is how many times less smooth a curve may be than the evidence says of
// all curves together: one weight serves them all, and the curves of real dyes
// are smooth in most places and bend sharply in few. Chosen by the coverage of
// mixtures in scenes of radiative transfer: without it 91 to 95 % of them lie within
// their 95 % interval, of dyes of narrow bands alone 82 to 91 %.
const kinks = 2

// doubted are the weights by which the covariance is taken.
func (w weights) doubted() weights {
	w.smoothness /= kinks
	return w
}

// mostTrust is the most that the covariance trusts a drop. The loss of Student gives
// up to 1.75 to one that fits, and so many unknowns make nearly all drops fit, whatever their
// errors. Chosen by the coverage of held-out doses in scenes of radiative transfer:
// without it 91 % of them are covered where readings err by 0.25, and with 1 98 % where
// by 0.1.
const mostTrust = 1.2

// doubted is the problem by which the covariance is taken.
func (p problem) doubted(chosen weights) problem {
	p = p.weighed(chosen.doubted())
	p.trusting = mostTrust
	return p
}

// problem is a joint fit with its weights fixed.
type problem struct {
	layout
	media
	drops []drop
	light addedLight // left out of the errors of the drops
	prior prior
	order *elimination
	// trusting is the most that a drop is trusted in the normal equations.
	trusting float64
}

func newProblem(samples []Sample, l layout, m media, w weights) problem {
	p := problem{layout: l, media: m, light: addedLightOf(samples), trusting: math.Inf(1)}
	for _, s := range samples {
		p.drops = append(p.drops, drop{piece: l.pieceOf(s), id: s.ID, colour: p.light.own(s)})
	}
	p = p.weighed(w)
	var cliques [][]int
	for _, d := range p.drops {
		cliques = append(cliques, d.touched())
	}
	for _, t := range p.prior.precision {
		cliques = append(cliques, []int{t.a, t.b})
	}
	p.order = eliminate(l.blocks(), cliques)
	return p
}

// weighed is the same problem with other weights.
func (p problem) weighed(w weights) problem {
	p.prior = newPrior(p.layout, w.smoothness)
	p.drops = slices.Clone(p.drops)
	for i := range p.drops {
		d := &p.drops[i]
		d.whitener, d.bow = newWhitener(d.colour, d.noise(w)), bow{}
	}
	return p
}

// unreadable is the noise, in dE00, of a liquid drop with particles in it, which
// is not clear and so tells nothing here.
const unreadable = 1000

func (p piece) noise(w weights) float64 {
	switch {
	case p.liquid && p.murky():
		return unreadable
	case p.liquid:
		return w.liquidNoise
	}
	return w.noise
}

// miss returns the whitened residual of a drop and its squared length.
func (d drop) miss(lab spectrum.Lab) (r [3]float64, s float64) {
	got, want := lab.Vector(), d.colour.Lab.Vector()
	r = d.lower.times([3]float64{got[0] - want[0], got[1] - want[1], got[2] - want[2]})
	for c := range r {
		r[c] += d.moved[c]
	}
	return r, r[0]*r[0] + r[1]*r[1] + r[2]*r[2]
}

// cost is the negative log posterior, up to a constant.
func (p problem) cost(theta []float64) float64 {
	sum := p.prior.half(theta)
	for _, d := range p.drops {
		_, s := d.miss(p.labOf(theta, d))
		sum += loss(s)
	}
	return sum
}

// normal returns gradient and Gauss-Newton Hessian of the cost at theta, with
// what is known of the bows of drops.
func (p problem) normal(theta []float64) ([]float64, sparse) {
	gradient, hessian := p.prior.gradient(theta), p.prior.in(p.order)
	for _, d := range p.drops {
		index, pull, white, t := p.pull(theta, d)
		t = min(t, p.trusting)
		at := 0
		for i, a := range index {
			gradient[a] += pull[i]
			for k, b := range index[:i+1] {
				v := t * dot(white[i], white[k])
				if d.beyond != nil {
					v += d.beyond[at]
				}
				*hessian.at(a, b) += v
				at++
			}
		}
	}
	return gradient, hessian
}

// whiten turns the columns of a Jacobian into units of expected error.
func (d drop) whiten(jacobian [][3]float64) [][3]float64 {
	out := make([][3]float64, len(jacobian))
	for i, j := range jacobian {
		out[i] = d.lower.times(j)
	}
	return out
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// labOf is the colour that the unknowns give a drop on its card.
func (p problem) labOf(theta []float64, d drop) spectrum.Lab {
	f := p.film(theta, d.piece, p.media)
	return spectrum.D65.Lab(f.outer())
}
