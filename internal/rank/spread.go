package rank

// madToSigma is 1 / Φ⁻¹(3/4), with Φ the normal distribution: half of what is
// normally distributed lies within 0.6745 standard deviations of its middle.
const madToSigma = 1.482602218505602

// Sigma returns the standard deviation that a normal distribution has whose
// deviations from its middle are these, told by their median:
//
//	σ = median |x - middle| / Φ⁻¹(3/4)
//
// Deviations come without their sign; up to half of them may be wrong without
// moving it far. NaN for none. It reorders its argument. (Hampel 1974, "The influence
// curve and its role in robust estimation", J. Am. Stat. Assoc. 69:383, from memory.)
func Sigma(deviations []float64) float64 { return madToSigma * Median(deviations) }
