package calibrate

import (
	"gonum.org/v1/gonum/mat"

	"setshade/internal/optics"
	"setshade/internal/spectrum"
)

// drop is a sample made ready for the fit.
type drop struct {
	sample  Sample
	mix     []ingredient
	backing spectrum.Spectrum
	whitener
}

// weights are the two numbers chosen by the evidence.
type weights struct {
	// smoothness is the precision of the second differences of the curves.
	smoothness float64
	// noise is the dE00, root mean square over the three directions together,
	// that a drop may miss by beyond its measured error.
	noise float64
}

// problem is a joint fit with its weights fixed.
type problem struct {
	drops   []drop
	prior   prior
	surface optics.Surface
}

func newProblem(samples []Sample, dyes []DyeRange, surface optics.Surface, w weights) problem {
	p := problem{prior: newPrior(len(dyes), w.smoothness), surface: surface}
	for _, s := range samples {
		p.drops = append(p.drops, drop{
			sample: s, mix: ingredients(dyes, s.Recipe), backing: s.Card.Smooth(),
			whitener: newWhitener(s.Colour, w.noise),
		})
	}
	return p
}

// residual returns the whitened residual of a drop and its squared length.
func (d drop) residual(lab spectrum.Lab) (r [3]float64, s float64) {
	got, want := lab.Vector(), d.sample.Colour.Lab.Vector()
	r = d.lower.times([3]float64{got[0] - want[0], got[1] - want[1], got[2] - want[2]})
	return r, r[0]*r[0] + r[1]*r[1] + r[2]*r[2]
}

// cost is the negative log posterior, up to a constant.
func (p problem) cost(theta []float64) float64 {
	sum := p.prior.half(theta)
	for _, d := range p.drops {
		_, s := d.residual(p.labOf(theta, d))
		sum += loss(s)
	}
	return sum
}

// normal returns gradient and Gauss-Newton Hessian of the cost at theta.
func (p problem) normal(theta []float64) (*mat.VecDense, *mat.SymDense) {
	n := len(theta)
	gradient := p.prior.gradient(theta)
	hessian := mat.NewSymDense(n, nil)
	hessian.CopySym(p.prior.precision)
	for _, d := range p.drops {
		f := newFilm(theta, d.mix, d.backing, p.surface, false).respond(d.mix)
		r, s := d.residual(f.lab)
		t := trust(s)
		white := d.whiten(f.jacobian)
		for i, a := range f.index {
			gradient.SetVec(a, gradient.AtVec(a)+t*dot(white[i], r))
			for k := i; k < len(f.index); k++ {
				b := f.index[k]
				hessian.SetSym(a, b, hessian.At(a, b)+t*dot(white[i], white[k]))
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
	return spectrum.D65.Lab(newFilm(theta, d.mix, d.backing, p.surface, false).outer())
}
