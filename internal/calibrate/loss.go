package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// freedom is the degrees of freedom of the Student-t loss; 4 after Lange,
// Little and Taylor 1989, who find it robust and still efficient.
const freedom = 4

// loss is half the robust loss of a drop whose whitened residual has the
// squared length s, so that a small s costs s/2:
//
//	ρ(s) = (ν + 3)/2 log(1 + s/ν)
func loss(s float64) float64 { return (freedom + 3) / 2.0 * math.Log1p(s/freedom) }

// trust is the weight of a drop in the normal equations, 2 dρ/ds: above 1 for
// a drop that fits, towards 0 for one that cannot be believed.
func trust(s float64) float64 { return (freedom + 3) / (freedom + s) }

// whitener turns a residual in Lab into units of its expected error.
type whitener struct {
	lower  matrix3 // inverse of the Cholesky factor of the covariance
	logDet float64 // log determinant of the covariance
}

// errorCovariance adds to a measured covariance what the model cannot explain
// and drops do not repeat: noise, in dE00, alike in every direction of
// CIEDE2000 around the colour.
func errorCovariance(colour spectrum.Measured, noise float64) *mat.SymDense {
	var chol mat.Cholesky
	if !chol.Factorize(spectrum.Symmetric(colour.Lab.Metric00())) {
		panic("calibrate: the CIEDE2000 metric is positive definite")
	}
	var cov mat.SymDense
	if err := chol.InverseTo(&cov); err != nil {
		panic("calibrate: the CIEDE2000 metric is well conditioned: " + err.Error())
	}
	for r := range 3 {
		for c := r; c < 3; c++ {
			cov.SetSym(r, c, cov.At(r, c)*noise*noise/3+colour.Cov[r][c])
		}
	}
	return &cov
}

func newWhitener(colour spectrum.Measured, noise float64) whitener {
	var chol mat.Cholesky
	if !chol.Factorize(errorCovariance(colour, noise)) {
		panic("calibrate: a measured covariance must not be negative")
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	if err := lower.InverseTri(&lower); err != nil {
		panic("calibrate: a covariance with noise is well conditioned: " + err.Error())
	}
	w := whitener{logDet: chol.LogDet()}
	for r := range 3 {
		for c := range r + 1 {
			w.lower[r][c] = lower.At(r, c)
		}
	}
	return w
}
