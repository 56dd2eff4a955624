package spectrum

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Symmetric returns a covariance or metric of (L*, a*, b*) in the form that
// gonum factorises; of m, its upper half is taken.
func Symmetric(m [3][3]float64) *mat.SymDense {
	out := mat.NewSymDense(3, nil)
	for r := range 3 {
		for c := r; c < 3; c++ {
			out.SetSym(r, c, m[r][c])
		}
	}
	return out
}

// MostVariance bounds a variance of L*, a* or b*: far beyond it nothing is known.
const MostVariance = 1e12

// Factored returns the Cholesky factorisation of a covariance of (L*, a*, b*). One
// so long and thin that rounding hides its thinnest direction is widened by a
// rounding of its longest; ok is false for one that is negative, or beyond
// MostVariance.
func Factored(cov [3][3]float64) (chol *mat.Cholesky, ok bool) {
	chol, s := new(mat.Cholesky), Symmetric(cov)
	if size := mat.Norm(s, 1); !(size <= MostVariance) {
		return nil, false
	}
	if chol.Factorize(s) {
		return chol, true
	}
	const rounding = 1e-12
	wider := rounding * mat.Trace(s)
	for i := range 3 {
		s.SetSym(i, i, s.At(i, i)+wider)
	}
	return chol, wider > 0 && chol.Factorize(s)
}

// IsCovariance reports a matrix that can be the covariance of (L*, a*, b*): symmetric
// and not negative in any direction but for rounding, and within MostVariance.
func IsCovariance(cov [3][3]float64) bool {
	const rounding = 1e-9
	s := Symmetric(cov)
	size := mat.Norm(s, 1)
	if !(size <= MostVariance) {
		return false
	}
	for r, row := range cov {
		for c := range r {
			if !(math.Abs(row[c]-cov[c][r]) <= rounding*size) {
				return false
			}
		}
	}
	var eigen mat.EigenSym
	return eigen.Factorize(s, false) && eigen.Values(nil)[0] >= -rounding*size // the least comes first
}
