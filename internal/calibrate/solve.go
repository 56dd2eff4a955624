package calibrate

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// maxSteps bounds a descent; a fit from a fair start takes about ten steps.
const maxSteps = 100

// optimum is where a descent ended.
type optimum struct {
	theta     []float64
	cost      float64
	converged bool
}

// descend minimises the cost from theta by the damped Gauss-Newton method of
// Levenberg 1944 and Marquardt 1963 (J. Soc. Ind. Appl. Math. 11:431), with the
// trust of every drop renewed at every step. It has converged when a step
// promises to lower the cost by less than 1e-7.
func (p problem) descend(theta []float64) optimum { return p.descendTo(theta, 1e-7) }

// descendTo is descend that has converged at another promise.
func (p problem) descendTo(theta []float64, least float64) optimum {
	at := optimum{theta: append([]float64(nil), theta...), cost: p.cost(theta)}
	damping := 1e-3
	for range maxSteps {
		gradient, hessian := p.normal(at.theta)
		for {
			step, promise := dampedStep(gradient, hessian, damping)
			if promise < least {
				at.converged = true
				return at
			}
			trial := make([]float64, len(at.theta))
			floats.AddTo(trial, at.theta, step)
			if cost := p.cost(trial); cost < at.cost {
				at.theta, at.cost = trial, cost
				damping = math.Max(damping/5, 1e-9)
				break
			}
			damping *= 4
			if damping > 1e9 {
				return at
			}
		}
	}
	return at
}

// longestStep bounds the change of any unknown in one step; the curves are
// logarithms, so this is a factor of e².
const longestStep = 2.0

// dampedStep solves (H + damping·diag H) step = -gradient, shortened to the
// longest step, and returns the fall of the cost that the gradient promises.
func dampedStep(gradient *mat.VecDense, hessian *mat.SymDense, damping float64) (step []float64, promise float64) {
	n := gradient.Len()
	damped := mat.NewSymDense(n, nil)
	damped.CopySym(hessian)
	for i := range n {
		damped.SetSym(i, i, hessian.At(i, i)*(1+damping))
	}
	var chol mat.Cholesky
	if !chol.Factorize(damped) {
		panic("calibrate: a Hessian with a proper prior is positive definite")
	}
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, gradient); err != nil {
		// Ill-conditioned is a warning of gonum's; the step is tried all the same
		// and taken only if it lowers the cost.
		_ = err
	}
	x.ScaleVec(-1, &x)
	if longest := mat.Norm(&x, math.Inf(1)); longest > longestStep {
		x.ScaleVec(longestStep/longest, &x)
	}
	return x.RawVector().Data, -mat.Dot(gradient, &x) / 2
}
