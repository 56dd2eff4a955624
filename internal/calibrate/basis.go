package calibrate

import "setshade/internal/spectrum"

// knots is the number of coefficients of a curve over the wavelengths.
const knots = 12

// basis[i][j] is the value of B-spline j in band i. The values of a band add up
// to 1, and only four of them differ from 0; support[j] are the first band of
// B-spline j and the one after its last.
var basis, support = uniformCubicBSplines()

// uniformCubicBSplines evaluates the uniform cubic B-splines that cover the
// grid with knots-3 equal intervals (de Boor 1978, A Practical Guide to
// Splines, ch. IX).
func uniformCubicBSplines() (b [spectrum.Bands][knots]float64, support [knots][2]int) {
	const intervals = knots - 3
	for j := range support {
		support[j] = [2]int{spectrum.Bands, 0}
	}
	for i := range b {
		x := float64(i) / (spectrum.Bands - 1) * intervals
		left := min(int(x), intervals-1)
		t := x - float64(left)
		u := 1 - t
		for k, v := range [4]float64{
			u * u * u / 6,
			(3*t*t*t - 6*t*t + 4) / 6,
			(3*u*u*u - 6*u*u + 4) / 6,
			t * t * t / 6,
		} {
			j := left + k
			b[i][j] = v
			support[j] = [2]int{min(support[j][0], i), max(support[j][1], i+1)}
		}
	}
	return b, support
}

// curve evaluates a curve from its coefficients.
func curve(coefficients []float64) spectrum.Spectrum {
	var s spectrum.Spectrum
	for j, c := range coefficients {
		for i := support[j][0]; i < support[j][1]; i++ {
			s[i] += basis[i][j] * c
		}
	}
	return s
}
