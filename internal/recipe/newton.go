package recipe

import (
	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

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
