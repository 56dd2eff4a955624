package optics

import (
	"fmt"
	"math"
)

// Surface is the boundary between air and a medium that scatters.
type Surface struct {
	// K1 is the share of light from outside that is mirrored and never enters,
	// 0..1.
	K1 float64
	// K2 is the share of diffuse light inside that is thrown back at the
	// surface, 0..1.
	K2 float64
}

// SurfaceOf returns the surface of a medium of the given refractive index n:
//
//	k1 = ((n - 1) / (n + 1))²
//	k2 = 1 - (1 - rd) / n²
//
// where k1 is Fresnel's reflectance at normal incidence and rd the reflectance
// for diffuse light from outside (Walsh 1926, closed form). n is 1 (no surface)
// or 1.001..4; common waxes have 1.43..1.45. Other values panic.
//
// It assumes a smooth surface and light inside that is wholly diffuse. At an
// incidence of 45° the mirrored share is still within 0.01 of k1.
//
// Sources: Walsh 1926, "The reflection factor of a polished glass surface for
// diffused light", DSIR Illumination Research Tech. Paper 2:10; Saunderson
// 1942, J. Opt. Soc. Am. 32:727.
func SurfaceOf(refractiveIndex float64) Surface {
	n := checkedIndex(refractiveIndex)
	if n == 1 {
		return Surface{}
	}
	return Surface{
		K1: fresnel(n, 1),
		K2: 1 - (1-diffuseFresnel(n))/(n*n),
	}
}

// Outside returns the reflectance factor seen from outside, mirrored light left
// out, of a medium with the given inner reflectance:
//
//	R = (1 - k1)(1 - k2) Ri / (1 - k2 Ri)
//
// where Ri in 0..1 is the inner reflectance, and other values panic. The result
// lies in 0..1-k1.
//
// Source: Saunderson 1942, J. Opt. Soc. Am. 32:727, without its term k1.
func (s Surface) Outside(inner float64) float64 {
	checkInner(inner)
	return (1 - s.K1) * (1 - s.K2) * inner / (1 - s.K2*inner)
}

// OutsideSlope returns the derivative of Outside with respect to the inner
// reflectance, always above 0:
//
//	dR/dRi = (1 - k1)(1 - k2) / (1 - k2 Ri)²
func (s Surface) OutsideSlope(inner float64) float64 {
	checkInner(inner)
	stay := 1 - s.K2*inner
	return (1 - s.K1) * (1 - s.K2) / (stay * stay)
}

// Inside returns the inner reflectance of a medium seen from outside with the
// given reflectance factor, the inverse of Outside:
//
//	Ri = R / ((1 - k1)(1 - k2) + k2 R)
//
// where R in 0..1-k1 is the reflectance factor, mirrored light left out. A
// whiter reading, which a smooth surface cannot give, comes back above 1, and one
// that an error puts below 0, down to -0.1, below 0; others panic.
func (s Surface) Inside(outer float64) float64 {
	check("a reflectance factor", outer, -0.1, math.MaxFloat64)
	return outer / ((1-s.K1)*(1-s.K2) + s.K2*outer)
}

// rounding is how far beyond its range a reflectance may be computed.
const rounding = 1e-12

// checkInner leaves an inner reflectance the rounding it was computed with.
func checkInner(inner float64) { check("an inner reflectance", inner, -rounding, 1+rounding) }

// fresnel returns the reflectance for unpolarised light that meets a medium of
// index n from outside, from the cosine of its angle of incidence.
func fresnel(n, cos float64) float64 {
	inside := refractedCosine(n, cos)
	across := (cos - n*inside) / (cos + n*inside)
	along := (n*cos - inside) / (n*cos + inside)
	return (across*across + along*along) / 2
}

// refractedCosine returns the cosine of the angle inside (Snell's law).
func refractedCosine(n, cos float64) float64 {
	return math.Sqrt(1 - (1-cos*cos)/(n*n))
}

// diffuseFresnel returns the mean of fresnel over diffuse light from outside.
// Source: Walsh 1926, as given by Duntley 1942, J. Opt. Soc. Am. 32:61.
func diffuseFresnel(n float64) float64 {
	n2 := n * n
	n4 := n2 * n2
	sum := n2 + 1
	return 0.5 + (n-1)*(3*n+1)/(6*(n+1)*(n+1)) +
		n2*(n2-1)*(n2-1)/(sum*sum*sum)*math.Log((n-1)/(n+1)) -
		2*n*n2*(n2+2*n-1)/(sum*(n4-1)) +
		8*n4*(n4+1)/(sum*(n4-1)*(n4-1))*math.Log(n)
}

// checkedIndex panics on a refractive index that no medium here has. Near 1
// the closed form of Walsh loses its digits.
func checkedIndex(n float64) float64 {
	if n == 1 || n >= 1.001 && n <= 4 {
		return n
	}
	panic(fmt.Sprintf("optics: a refractive index of %g; it must be 1 or 1.001..4", n))
}
