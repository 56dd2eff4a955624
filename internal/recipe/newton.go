package recipe

import "gonum.org/v1/gonum/mat"

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
