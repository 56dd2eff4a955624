// Package leastsquares minimises sums of squares, some of them robust, whose
// residuals and slopes the caller gives row by row.
//
// The method is the damped Gauss-Newton step of Levenberg (1944) and Marquardt
// (1963), with the damping of H. B. Nielsen, "Damping parameter in Marquardt's
// method", IMM-REP-1999-05, Technical University of Denmark, section 3. The
// literature was cited from memory.
package leastsquares

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Sum is half the sum of weighted squares at one point, with its gradient and the
// Gauss-Newton approximation of its second derivatives. Rows touch few unknowns, so
// only what they touch is added.
type Sum struct {
	// Cost is half the weighted sum of squares, or what a robust row counts instead.
	Cost     float64
	normal   []float64 // n by n, the upper triangle
	gradient []float64
	n        int
}

// Add takes in a row of cost ½ w residual², whose slopes against the unknowns listed, in
// ascending order, are given.
func (s *Sum) Add(residual, weight float64, unknowns []int, slopes []float64) {
	s.Cost += weight * residual * residual / 2
	s.step(residual, weight, unknowns, slopes)
}

// AddRobust takes in a row with the cost of Student's t distribution of so many
// degrees of freedom, for residuals of unit scale:
//
//	w (freedom+1)/2 log(1 + residual²/freedom)
func (s *Sum) AddRobust(residual, weight, freedom float64, unknowns []int, slopes []float64) {
	s.Cost += weight * (freedom + 1) / 2 * math.Log1p(residual*residual/freedom)
	s.step(residual, weight*(freedom+1)/(freedom+residual*residual), unknowns, slopes)
}

func (s *Sum) step(residual, weight float64, unknowns []int, slopes []float64) {
	for a, i := range unknowns {
		v := weight * slopes[a]
		if v == 0 {
			continue
		}
		s.gradient[i] += v * residual
		row := s.normal[i*s.n : (i+1)*s.n]
		for b := a; b < len(unknowns); b++ {
			row[unknowns[b]] += v * slopes[b]
		}
	}
}

// NewSum is an empty sum over n unknowns.
func NewSum(n int) *Sum {
	return &Sum{n: n, normal: make([]float64, n*n), gradient: make([]float64, n)}
}

func (s *Sum) clear() {
	s.Cost = 0
	clear(s.normal)
	clear(s.gradient)
}

// Minimum is where a search ended.
type Minimum struct {
	X    []float64
	Cost float64
	// Settled says that the last step was too small to matter; without it the steps
	// ran out.
	Settled bool
	sum     *Sum
}

// Inverse is the inverse of the Gauss-Newton matrix at the minimum: the covariance of
// X where residuals have unit variance. It is false where the matrix is not positive
// definite.
func (m *Minimum) Inverse() (*mat.SymDense, bool) {
	var factor mat.Cholesky
	if !factor.Factorize(mat.NewSymDense(m.sum.n, m.sum.normal)) {
		return nil, false
	}
	var inverse mat.SymDense
	return &inverse, factor.InverseTo(&inverse) == nil
}

// Minimise walks from start, which it leaves as it is, for at most so many steps, until
// one lowers the cost by less than the share enough of it. fill adds all rows at a point.
func Minimise(start []float64, steps int, enough float64, fill func(x []float64, into *Sum)) Minimum {
	n := len(start)
	here, next := NewSum(n), NewSum(n)
	x, trial := append([]float64(nil), start...), make([]float64, n)
	fill(x, here)
	m := Minimum{}
	damping, factor := 1e-3, 2.0
	damped, move := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for range steps {
		for i := range n {
			for j := i; j < n; j++ {
				damped.SetSym(i, j, here.normal[i*n+j])
			}
			damped.SetSym(i, i, here.normal[i*n+i]*(1+damping)+1e-12)
		}
		var chol mat.Cholesky
		if !chol.Factorize(damped) || chol.SolveVecTo(move, mat.NewVecDense(n, here.gradient)) != nil {
			damping, factor = damping*factor, 2*factor
			continue
		}
		expected := 0.0
		for i := range n {
			d := move.AtVec(i)
			trial[i] = x[i] - d
			expected += d * (here.gradient[i] + damping*here.normal[i*n+i]*d) / 2
		}
		next.clear()
		fill(trial, next)
		gain := here.Cost - next.Cost
		if !(gain > 0) { // NaN too
			if expected < enough*1e-2*(1+math.Abs(here.Cost)) {
				m.Settled = true
				break
			}
			damping, factor = damping*factor, 2*factor
			continue
		}
		copy(x, trial)
		here, next = next, here
		damping *= max(1.0/3, 1-math.Pow(2*gain/expected-1, 3))
		factor = 2
		if gain < enough*(1+math.Abs(here.Cost)) {
			m.Settled = true
			break
		}
	}
	m.X, m.Cost, m.sum = x, here.Cost, here
	return m
}
