package spectrum

import "gonum.org/v1/gonum/mat"

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
