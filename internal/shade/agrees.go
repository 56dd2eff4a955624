package shade

import (
	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// chiSquare99 is the 99 % point of chi-square with three degrees of freedom
// (NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.4).
const chiSquare99 = 11.345

// Agrees reports whether a reading can be of wax of this shade: whether the
// squared distance between them, with the covariance of both as the measure,
// stays below what 99 of 100 such readings have.
func (s Shade) Agrees(reading spectrum.Measured) bool {
	both := s.Cov
	for r := range both {
		for c := range both[r] {
			both[r][c] += reading.Cov[r][c]
		}
	}
	chol, ok := spectrum.Factored(both)
	if !ok || !reading.Lab.IsPlausible() {
		panic("shade: a reading needs a colour and an error of it that can be")
	}
	miss, at, seen := mat.NewVecDense(3, nil), s.Lab.Vector(), reading.Lab.Vector()
	for i := range at {
		miss.SetVec(i, seen[i]-at[i])
	}
	var solved mat.VecDense
	// Of an ill-conditioned covariance the answer is still the best there is.
	_ = chol.SolveVecTo(&solved, miss)
	return mat.Dot(miss, &solved) <= chiSquare99
}
