package spectrum

import "gonum.org/v1/gonum/mat"

// Smooth returns the reflectance factor that has the given colour under D65
// and is a parabola over the wavelengths. It stands in for the unknown
// spectrum of a nearly neutral thing, such as white card; for a saturated
// colour its values may leave 0..1.
func (c Lab) Smooth() Spectrum {
	want := c.XYZ(D65.White())
	var s Spectrum
	for p, row := range parabolaShares {
		share := row[0]*want.X + row[1]*want.Y + row[2]*want.Z
		for i := range s {
			s[i] += share * parabolas[p][i]
		}
	}
	return s
}

// parabolas are 1, x and x² over the grid, x from -1 at 380 nm to 1 at 730 nm.
var parabolas = [3]Spectrum{
	Flat(1),
	Sample(func(nm float64) float64 { return (nm - 555) / 175 }),
	Sample(func(nm float64) float64 { return (nm - 555) / 175 * (nm - 555) / 175 }),
}

// parabolaShares turns XYZ under D65 into shares of the parabolas: the inverse
// of the matrix of their tristimulus values.
var parabolaShares = sharesOfParabolas()

func sharesOfParabolas() [3][3]float64 {
	m := mat.NewDense(3, 3, nil)
	for p := range parabolas {
		v := D65.XYZ(parabolas[p]).array()
		m.SetCol(p, v[:])
	}
	var inverse mat.Dense
	if err := inverse.Inverse(m); err != nil {
		panic("spectrum: the three parabolas are independent: " + err.Error())
	}
	var out [3][3]float64
	for r := range out {
		for c := range out[r] {
			out[r][c] = inverse.At(r, c)
		}
	}
	return out
}
