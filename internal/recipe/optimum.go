package recipe

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
)

// optimum is where a descent over strengths ended.
type optimum struct {
	set       []*colour
	strengths []float64
	lab       spectrum.Lab
	de00      float64
}

// descend finds doses of a set of dyes, not rounded, whose colour is nearest to
// the target, from the given strengths: the damped Gauss-Newton method of
// Levenberg 1944 and Marquardt 1963 on dE00², with dyes at 0 or at their
// maximum held there while the gradient pushes outward. The slopes of the
// colour are analytic; that of dE00² in the colour is a central difference.
func (s *search) descend(set []*colour, strengths []float64) optimum {
	const rounds, enough = 40, 1e-4
	at := optimum{set: set, strengths: strengths}
	absorption := s.mix(set, strengths)
	at.lab = s.palette.Lab(&absorption)
	at.de00 = spectrum.DE00(s.target, at.lab)
	if len(set) == 0 {
		return at
	}
	damping := 1e-2
	for range rounds {
		gradient, hessian := s.slopes(at)
		moved := false
		for ; damping < 1e6 && !moved; damping *= 4 {
			next := at
			next.strengths = s.step(at, gradient, hessian, damping)
			absorption := s.mix(set, next.strengths)
			next.lab = s.palette.Lab(&absorption)
			next.de00 = spectrum.DE00(s.target, next.lab)
			if next.de00 < at.de00 {
				if at.de00-next.de00 < enough {
					return next
				}
				at, moved = next, true
				damping /= 40
			}
		}
		if !moved || at.de00 < enough {
			return at
		}
	}
	return at
}

// slopes returns gradient and Gauss-Newton Hessian of dE00²/2 in the strengths.
func (s *search) slopes(at optimum) ([]float64, *mat.SymDense) {
	absorption := s.mix(at.set, at.strengths)
	colourants := make([]calibrate.Colourant, len(at.set))
	for j, c := range at.set {
		colourants[j] = c.Colourant
	}
	_, per := s.palette.LabWithSlopes(&absorption, colourants)
	return Slopes00(s.target, at.lab, per)
}

// step takes a damped step of the dyes that are free to move, cut off at their
// bounds.
func (s *search) step(at optimum, gradient []float64, hessian *mat.SymDense, damping float64) []float64 {
	next := append([]float64(nil), at.strengths...)
	var free []int
	for j, c := range at.set {
		held := at.strengths[j] <= 0 && gradient[j] > 0 || at.strengths[j] >= c.full() && gradient[j] < 0
		if !held {
			free = append(free, j)
		}
	}
	x := NewtonStep(gradient, hessian, free, damping)
	for r, dx := range x {
		j := free[r]
		next[j] = math.Min(math.Max(next[j]+dx, 0), at.set[j].full())
	}
	return next
}

// mix is the absorption of strengths of a set of dyes.
func (s *search) mix(set []*colour, strengths []float64) spectrum.Spectrum {
	a := s.undyed
	for j, c := range set {
		for i, k := range c.Absorption {
			a[i] += k * strengths[j]
		}
	}
	return a
}

// Slopes00 returns the gradient and the Gauss-Newton Hessian of dE00²/2 at a colour
// on the way to a target, in unknowns of which per holds the derivative of (L*, a*,
// b*) by each:
//
//	g = J ∇,   H = J M Jᵀ
//
// with ∇ the pull of the target and M the metric of CIEDE2000 at the colour.
func Slopes00(target, at spectrum.Lab, per [][3]float64) ([]float64, *mat.SymDense) {
	pull, metric := spectrum.Pull00(target, at), at.Metric00()
	gradient, hessian := make([]float64, len(per)), mat.NewSymDense(len(per), nil)
	for j := range per {
		for r := range 3 {
			gradient[j] += pull[r] * per[j][r]
		}
		for k := j; k < len(per); k++ {
			v := 0.0
			for r := range 3 {
				for c := range 3 {
					v += per[j][r] * metric[r][c] * per[k][c]
				}
			}
			hessian.SetSym(j, k, v)
		}
	}
	return gradient, hessian
}

// NewtonStep returns the damped Gauss-Newton step of the free unknowns, in their
// order: the solution x of
//
//	(H + λ diag H) x = -g
//
// with g the gradient and H the approximate Hessian (Marquardt 1963, J. Soc. Indust.
// Appl. Math. 11:431). It is nil when nothing is free or H is not positive definite.
func NewtonStep(gradient []float64, hessian *mat.SymDense, free []int, damping float64) []float64 {
	if len(free) == 0 {
		return nil
	}
	h, g := mat.NewSymDense(len(free), nil), mat.NewVecDense(len(free), nil)
	for r, j := range free {
		g.SetVec(r, -gradient[j])
		for c := r; c < len(free); c++ {
			h.SetSym(r, c, hessian.At(j, free[c]))
		}
		h.SetSym(r, r, h.At(r, r)*(1+damping)+1e-12)
	}
	var chol mat.Cholesky
	if !chol.Factorize(h) {
		return nil
	}
	var x mat.VecDense
	// An ill-conditioned step is tried all the same and kept only if it helps.
	_ = chol.SolveVecTo(&x, g)
	return x.RawVector().Data
}
