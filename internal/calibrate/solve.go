package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
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
func dampedStep(gradient []float64, hessian sparse, damping float64) (step []float64, promise float64) {
	damped := hessian.copy()
	for u := range gradient {
		*damped.at(u, u) *= 1 + damping
	}
	if !damped.factorize() {
		panic("calibrate: a Hessian with a proper prior is positive definite")
	}
	step = slices.Clone(gradient)
	damped.solve(step)
	floats.Scale(-1, step)
	if longest := floats.Norm(step, math.Inf(1)); longest > longestStep {
		floats.Scale(longestStep/longest, step)
	}
	return step, -floats.Dot(gradient, step) / 2
}
