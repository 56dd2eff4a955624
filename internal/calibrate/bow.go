package calibrate

import "slices"

// bow is what a drop's part of the Hessian has beyond t JᵀJ: how its colour bends
// over the unknowns, and how its trust gives way. Gauss and Newton leave it out,
// and creep where drops do not fit well; with it a step is Newton's own.
type bow struct {
	beyond   []float64  // lower half row by row, as the drop's response; nil while not known
	residual [3]float64 // where it was taken
}

// bowStep is the step of the difference quotients; the unknowns are logarithms
// and exponents.
const bowStep = 1e-4

// stale is the squared change of the whitened residual from which on a bow is
// taken anew.
const stale = 0.01

// bent is the problem with the bows of all drops near theta.
func (p problem) bent(theta []float64) problem {
	p.drops = slices.Clone(p.drops)
	for i := range p.drops {
		d := &p.drops[i]
		r, _ := d.miss(p.labOf(theta, *d))
		off := [3]float64{r[0] - d.bow.residual[0], r[1] - d.bow.residual[1], r[2] - d.bow.residual[2]}
		if d.beyond == nil || dot(off, off) > stale {
			d.bow = bow{p.beyond(theta, *d), r}
		}
	}
	return p
}

// beyond takes a bow by difference quotients of the gradient.
func (p problem) beyond(theta []float64, d drop) []float64 {
	moved := slices.Clone(theta)
	index, here, white, t := p.pull(theta, d)
	n := len(index)
	columns := make([][]float64, n)
	for k, u := range index {
		moved[u] += bowStep
		_, columns[k], _, _ = p.pull(moved, d)
		moved[u] = theta[u]
		for i := range n {
			columns[k][i] = (columns[k][i]-here[i])/bowStep - t*dot(white[i], white[k])
		}
	}
	out := make([]float64, 0, n*(n+1)/2)
	for i := range n {
		for k := range i + 1 {
			out = append(out, (columns[k][i]+columns[i][k])/2)
		}
	}
	return out
}

// pull is the gradient of a drop's cost by the unknowns of its response, with the
// whitened Jacobian and the trust that it is made of.
func (p problem) pull(theta []float64, d drop) (index []int, gradient []float64, white [][3]float64, t float64) {
	f := p.respond(p.film(theta, d.piece, p.media))
	r, s := d.miss(f.lab)
	t, white = trust(s), d.whiten(f.jacobian)
	gradient = make([]float64, len(white))
	for i := range white {
		gradient[i] = t * dot(white[i], r)
	}
	return f.index, gradient, white, t
}
