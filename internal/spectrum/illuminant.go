package spectrum

// Illuminant is one of the lights a colour can be judged under.
type Illuminant int

// The illuminants known here. D65 is the light of every stored colour; A and
// LEDB3 tell a maker how a shade shifts; D50 is there because published chart
// values are given for it.
const (
	D65   Illuminant = iota // daylight
	A                       // warm lamp, tungsten at 2856 K
	LEDB3                   // white LED, phosphor-converted, near 4100 K
	D50                     // warm daylight, the light of printing standards
	illuminants
)

// String returns the name of the illuminant as the CIE writes it.
func (l Illuminant) String() string {
	return [illuminants]string{"D65", "A", "LED-B3", "D50"}[l]
}

// White returns the XYZ of the perfect diffuser, Y = 1.
func (l Illuminant) White() XYZ { return l.XYZ(Flat(1)) }

// XYZ returns the tristimulus values of a reflectance factor, Y = 1 for the
// perfect diffuser:
//
//	X = Σ Wx(λ) R(λ), likewise Y, Z
//
// where W are the weights of ASTM E308 for the 10 nm grid (see weights). It is
// linear in R, so it also serves for derivatives of R.
func (l Illuminant) XYZ(r Spectrum) XYZ {
	var c XYZ
	for i, w := range weights[l] {
		c.X += w[0] * r[i]
		c.Y += w[1] * r[i]
		c.Z += w[2] * r[i]
	}
	return c
}

// Lab returns the CIELAB colour of a reflectance factor under the light,
// relative to that light's own white.
func (l Illuminant) Lab(r Spectrum) Lab { return l.XYZ(r).Lab(l.White()) }

// Weights returns the weights of one band for X, Y and Z.
func (l Illuminant) Weights(band int) [3]float64 { return weights[l][band] }
