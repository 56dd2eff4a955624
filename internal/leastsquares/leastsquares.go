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

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
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

	// Kept from call to call: what robust rows are worked out in.
	roots  []float64
	square mat.SymDense
	part   mat.VecDense
}

// Add takes in a row of cost ½ w residual², whose slopes against the unknowns listed, in
// ascending order, are given.
func (s *Sum) Add(residual, weight float64, unknowns []int, slopes []float64) {
	s.Cost += weight * residual * residual / 2
	for a, i := range unknowns {
		v := weight * slopes[a]
		s.gradient[i] += v * residual
		for b := a; b < len(unknowns); b++ {
			s.normal[i*s.n+unknowns[b]] += v * slopes[b]
		}
	}
}

// AddRobust takes in residuals of unit scale, each with the cost of Student's t
// distribution of so many degrees of freedom:
//
//	w (freedom+1)/2 log(1 + residual²/freedom)
//
// All depend on the unknowns listed, in ascending order. Slopes has a row for each of
// these and a column for each residual. Both are scaled in place.
func (s *Sum) AddRobust(residuals []float64, weight, freedom float64, unknowns []int, slopes *mat.Dense) {
	s.roots = s.roots[:0]
	for i, r := range residuals {
		s.Cost += weight * (freedom + 1) / 2 * math.Log1p(r*r/freedom)
		root := math.Sqrt(weight * (freedom + 1) / (freedom + r*r))
		residuals[i] *= root
		s.roots = append(s.roots, root)
	}
	for a := range unknowns {
		row := slopes.RawRowView(a)
		for i, root := range s.roots {
			row[i] *= root
		}
	}
	s.square.Reset()
	s.square.SymOuterK(1, slopes)
	square := s.square.RawSymmetric()
	s.part.Reset()
	s.part.MulVec(slopes, mat.NewVecDense(len(residuals), residuals))
	for a, i := range unknowns {
		s.gradient[i] += s.part.AtVec(a)
		row := s.normal[i*s.n : (i+1)*s.n]
		for b := a; b < len(unknowns); b++ {
			row[unknowns[b]] += square.Data[a*square.Stride+b]
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
	damped := blas64.Symmetric{Uplo: blas.Upper, N: n, Stride: n, Data: make([]float64, n*n)}
	move := make([]float64, n)
	for range steps {
		copy(damped.Data, here.normal)
		copy(move, here.gradient)
		for i := range n {
			damped.Data[i*n+i] = here.normal[i*n+i]*(1+damping) + 1e-12
		}
		factored, ok := lapack64.Potrf(damped)
		if !ok {
			damping, factor = damping*factor, 2*factor
			continue
		}
		lapack64.Potrs(factored, blas64.General{Rows: n, Cols: 1, Stride: 1, Data: move})
		expected := 0.0
		for i := range n {
			d := move[i]
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
