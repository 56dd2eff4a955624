package spectrum

const (
	// Bands is the number of wavelengths of the working grid.
	Bands = 36
	// FirstNM is the wavelength of band 0 in nanometres.
	FirstNM = 380
	// StepNM is the distance between bands in nanometres.
	StepNM = 10
)

// Spectrum is one value a band on the working grid, 380 nm to 730 nm every
// 10 nm. As a reflectance factor its values lie in 0..1 (a little above 1 is
// possible for a directional measurement); as K/S they are any value >= 0.
type Spectrum [Bands]float64

// WavelengthNM returns the wavelength of a band in nanometres.
func WavelengthNM(band int) float64 { return FirstNM + StepNM*float64(band) }

// Flat returns the spectrum that has the same value in every band.
func Flat(value float64) Spectrum {
	var s Spectrum
	for i := range s {
		s[i] = value
	}
	return s
}

// Sample evaluates f, a function of the wavelength in nanometres, on the grid.
func Sample(f func(nm float64) float64) Spectrum {
	var s Spectrum
	for i := range s {
		s[i] = f(WavelengthNM(i))
	}
	return s
}

// Map returns f applied to every band.
func (s Spectrum) Map(f func(float64) float64) Spectrum {
	for i, v := range s {
		s[i] = f(v)
	}
	return s
}
