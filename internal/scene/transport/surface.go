package transport

import "math"

// refractedCosine returns the cosine inside a medium of refractive index n for
// light whose cosine in air is given (Snell's law). For 0, grazing light, it is
// the critical cosine.
func refractedCosine(n, cosInAir float64) float64 {
	return math.Sqrt(1 - (1-cosInAir*cosInAir)/(n*n))
}

// mirrored returns the share of unpolarised light that a surface to air returns
// into the medium of refractive index n, by the cosine inside (Fresnel's
// equations); all of it beyond the critical angle.
func mirrored(n, cos float64) float64 {
	sinInAir := n * math.Sqrt(1-cos*cos)
	if sinInAir >= 1 {
		return 1
	}
	cosInAir := math.Sqrt(1 - sinInAir*sinInAir)
	across := (n*cos - cosInAir) / (n*cos + cosInAir)
	along := (cos - n*cosInAir) / (cos + n*cosInAir)
	return (across*across + along*along) / 2
}

// Fresnel returns the share of unpolarised light that arrives from air at a surface to a
// medium of refractive index n and is mirrored, by the cosine in air.
func Fresnel(n, cosInAir float64) float64 {
	return mirrored(n, refractedCosine(n, min(1, cosInAir)))
}
