package calibrate

import "math"

// bending turns the absorption A of the wax into its K/S. Kubelka and Munk have light go
// evenly in all directions and take K/S for proportional to the absorption; in a
// real layer light that is soon absorbed has not yet lost its direction, and more of it goes on
// inwards. In radiative transfer
//
//	K/S = A (A / 0.3)^ε ((1 + A) / 1.3)^(β - ε)
//
// so that K/S grows as A^(1+ε) where the wax is pale, as A^(1+β) where it is
// dark, and turns from one to the other where it absorbs as much as it scatters. ε
// is the same in all media; β, above 0, is the greater the more forwards the
// crystals scatter: about 0.14, 0.25 and 0.33 for mean cosines of 0.35, 0.6 and
// 0.8. With a gain of its own the form follows the reflectance of an opaque layer to 0.1 in
// L*, for A from 0.003 to 6, indices from 1.41 to 1.49, and light from 45° as well
// as from all sides. One exponent for all A misses by up to 0.7.
//
// That A alone decides, at small A whatever the crystals, is van de Hulst's
// similarity (1980, "Multiple light scattering", ch. 14); that K/S is not
// proportional to it, Star, Marijnissen and van Gemert 1988, Phys. Med. Biol.
// 33:437. The form itself and its ε are ours, fitted to radiative transfer by adding and
// doubling over the phase functions of Henyey and Greenstein.
type bending struct {
	dark       float64 // β
	perUnknown float64 // dβ over d unknown
}

// bendingOf takes β from its unknown u, from which it differs only where it would
// come near 0:
//
//	β = w log (1 + exp (u / w)),   w = 0.05
func bendingOf(unknown float64) bending {
	const w = 0.05
	e := math.Exp(unknown / w)
	return bending{dark: w * math.Log1p(e), perUnknown: e / (1 + e)}
}

const (
	paleBend = 0.065 // ε
	// pivot is the absorption that the bend leaves alone, at mid-strength, so that
	// the bend and the levels of the curves do not stand in for each other.
	pivot = 0.3
)

// strong is log ((1 + A) / 1.3), by which K/S grows with β.
func strong(a float64) float64 { return math.Log1p(a) - math.Log1p(pivot) }

// ks returns K/S at an absorption above 0.
func (b bending) ks(a float64) float64 {
	return a * math.Exp(paleBend*math.Log(a/pivot)+(b.dark-paleBend)*strong(a)) // math.Pow takes four times as long
}

// power is d log K/S / d log A, from 1+ε to 1+β. d(K/S)/dA = power K/S / A rises
// with A wherever β is not below 0: with t = A / (1 + A), m = β - ε and q = 1 + ε,
// its sign is that of q ε + 2 m q t + m (m - 1) t², which has no root in 0..1.
func (b bending) power(a float64) float64 {
	return 1 + paleBend + (b.dark-paleBend)*a/(1+a)
}

// mostConvex bounds β for which the reflectance factor of an opaque layer is a
// convex function of A. With K for K/S and s for power, d²R/dA² >= 0 comes to
//
//	K/b + K (K + 1) / b² >= 1 - 1/s + (β - ε) t (1 - t) / s²,   b² = K (K + 2)
//
// of which the left is never below 1/2, and the right never above while β <= 0.8.
const mostConvex = 0.8
