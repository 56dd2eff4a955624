package spectrum

import (
	"math"

	"github.com/lucasb-eyer/go-colorful"
)

// XYZ holds CIE 1931 tristimulus values, Y = 1 for the perfect diffuser.
type XYZ struct{ X, Y, Z float64 }

// Lab is a CIELAB colour (ISO/CIE 11664-4): L 0..100, a and b about -130..130.
type Lab struct {
	L float64 `json:"L"`
	A float64 `json:"a"`
	B float64 `json:"b"`
}

// Measured is a colour with what is known of its error.
type Measured struct {
	Lab Lab
	// Cov is the covariance of (L*, a*, b*): symmetric, not negative.
	Cov [3][3]float64
}

// go-colorful runs L* over 0..1 and divides a*, b* by 100; this constant is
// the one place that knows.
const colorfulLab = 100

// Lab returns the CIELAB colour relative to the given white.
func (c XYZ) Lab(white XYZ) Lab {
	l, a, b := colorful.XyzToLabWhiteRef(c.X, c.Y, c.Z, white.array())
	return Lab{l * colorfulLab, a * colorfulLab, b * colorfulLab}
}

// XYZ returns the tristimulus values of a colour relative to the given white.
func (c Lab) XYZ(white XYZ) XYZ {
	x, y, z := colorful.LabToXyzWhiteRef(c.L/colorfulLab, c.A/colorfulLab, c.B/colorfulLab, white.array())
	return XYZ{x, y, z}
}

func (c XYZ) array() [3]float64 { return [3]float64{c.X, c.Y, c.Z} }

// Chroma returns C*ab.
func (c Lab) Chroma() float64 { return math.Hypot(c.A, c.B) }

// HueDegrees returns the hue angle hab in 0..360.
func (c Lab) HueDegrees() float64 {
	h := math.Atan2(c.B, c.A) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

// Vector returns L*, a*, b* in order.
func (c Lab) Vector() [3]float64 { return [3]float64{c.L, c.A, c.B} }

// LabOf is the inverse of Lab.Vector.
func LabOf(v [3]float64) Lab { return Lab{v[0], v[1], v[2]} }

// IsFinite reports whether no coordinate is NaN or infinite.
func (c Lab) IsFinite() bool {
	return c.L-c.L == 0 && c.A-c.A == 0 && c.B-c.B == 0
}

// IsPlausible reports a colour that something could have been read as: within ±1000
// in each coordinate, far beyond all that can be seen, and no NaN.
func (c Lab) IsPlausible() bool {
	const far = 1000
	return math.Abs(c.L) <= far && math.Abs(c.A) <= far && math.Abs(c.B) <= far
}
