package optics

import "math"

// KSOfReflectance returns the Kubelka-Munk ratio of an opaque layer from its
// inner reflectance:
//
//	K/S = (1 - R)² / 2R
//
// where R in 0..1 is the diffuse reflectance of a layer so thick that its
// backing does not show, without its surface (see Surface.Inside). K/S falls
// from +Inf at R = 0 to 0 at R = 1; other values panic.
//
// It assumes diffuse light, isotropic scattering and absorption that is weak
// within one scattering length; for dark colours K/S is a useful scale rather
// than a true ratio of coefficients.
//
// Source: Kubelka and Munk 1931, Z. tech. Phys. 12:593; in this form Kubelka
// 1948, J. Opt. Soc. Am. 38:448.
func KSOfReflectance(r float64) float64 {
	check("a reflectance", r, 0, 1)
	return (1 - r) * (1 - r) / (2 * r)
}

// ReflectanceOfKS returns the inner reflectance R∞ of an opaque layer, the
// inverse of KSOfReflectance:
//
//	R∞ = a - b = 1 / (a + b),   a = 1 + K/S,   b = sqrt(a² - 1) = sqrt(K/S (K/S + 2))
//
// where K/S is 0 or more and may be +Inf, that of a layer that does not scatter,
// which is black; other values panic. The sum is used: the difference loses every digit of
// a dark colour.
//
// Source: Kubelka 1948, J. Opt. Soc. Am. 38:448.
func ReflectanceOfKS(ks float64) float64 {
	check("a K/S", ks, 0, math.Inf(1))
	return 1 / (1 + ks + decay(ks))
}

// ReflectanceOfKSSlope returns dR∞ / d(K/S):
//
//	dR∞/d(K/S) = -R∞ / b,   b = sqrt(K/S (K/S + 2))
//
// where K/S is 0 or more. The white end is infinitely steep: the slope at 0 is
// -Inf, which is why the first trace of dye in an opaque white shows most.
//
// It is the derivative of ReflectanceOfKS.
func ReflectanceOfKSSlope(ks float64) float64 { return -ReflectanceOfKS(ks) / decay(ks) }

// decay returns b = sqrt(a² - 1), the rate at which light dies away per unit
// of S·X, without the cancellation of a² - 1.
func decay(ks float64) float64 { return math.Sqrt(ks) * math.Sqrt(ks+2) }
