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

// descend minimises the cost from theta until a step promises to lower it by less
// than 1e-7: by Gauss and Newton until the optimum is near, then by Newton.
func (p problem) descend(theta []float64) optimum {
	return p.newton(p.descendTo(theta, 0.01).theta)
}

// descendTo minimises the cost from theta by the damped Gauss-Newton method of
// Levenberg 1944 and Marquardt 1963 (J. Soc. Ind. Appl. Math. 11:431), with the
// trust of every drop renewed at every step. It has converged when a step
// promises to lower the cost by less than the least.
func (p problem) descendTo(theta []float64, least float64) optimum {
	return p.steps(theta, least, 1e-3, false)
}

// newton is descend from near the optimum, with the bows of the drops.
func (p problem) newton(theta []float64) optimum { return p.steps(theta, 1e-7, 1e-6, true) }

// renewal is how many steps bows are used for before it is seen whether they are
// stale.
const renewal = 4

// steps descends with or without bows, from a damping.
func (p problem) steps(theta []float64, least, damping float64, bowed bool) optimum {
	at := optimum{theta: append([]float64(nil), theta...), cost: p.cost(theta)}
	for n := range maxSteps {
		if bowed && n%renewal == 0 {
			p = p.bent(at.theta)
		}
		gradient, hessian := p.normal(at.theta)
		for {
			step, promise, ok := dampedStep(gradient, hessian, damping)
			if ok && promise < least {
				at.converged = true
				return at
			}
			if ok {
				trial := make([]float64, len(at.theta))
				floats.AddTo(trial, at.theta, step)
				if cost := p.cost(trial); cost < at.cost {
					at.theta, at.cost = trial, cost
					damping = math.Max(damping/5, 1e-9)
					break
				}
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
// longest step, and returns the fall of the cost that the gradient promises. Bows
// may leave no matrix that can be solved; then more damping does.
func dampedStep(gradient []float64, hessian sparse, damping float64) (step []float64, promise float64, ok bool) {
	damped := hessian.copy()
	for u := range gradient {
		*damped.at(u, u) *= 1 + damping
	}
	if !damped.factorize() {
		return nil, 0, false
	}
	step = slices.Clone(gradient)
	damped.solve(step)
	floats.Scale(-1, step)
	if longest := floats.Norm(step, math.Inf(1)); longest > longestStep {
		floats.Scale(longestStep/longest, step)
	}
	return step, -floats.Dot(gradient, step) / 2, true
}
