package scene

import (
	"math"

	"setshade/internal/spectrum"
)

// camera is what a card is photographed with. Without a Sensor it is colorimetric: its three
// channels are XYZ, adapted to D65 by the Bradford transform (ICC.1:2022 annex E)
// and turned into sRGB. Two colours that look alike in daylight may part in another
// light, and no adaptation undoes that.
type camera struct {
	own         *developed        // what has sensitivities of its own; nil for none
	day         bool              // the light is D65
	light       spectrum.Spectrum // relative to D65
	lamp, white spectrum.XYZ      // of the card: in the light, and as the camera shows it
}

// balanced is how much of a light's colour, in logarithms, the camera takes away
// by its white balance; phones leave a warm light a little warm (invented).
const balanced = 0.7

// newCamera photographs the card in the light, and by the camera, of the options.
func newCamera(o Options, card spectrum.Spectrum) camera {
	if o.Sensor != nil {
		return camera{own: o.Sensor.develop(card)}
	}
	kelvin := o.Kelvin
	if kelvin == 0 {
		return camera{day: true}
	}
	var c camera
	day := spectrum.D65.XYZ(card)
	const d65Kelvin = 6504 // correlated colour temperature (CIE 15)
	for i := range c.light {
		nm := spectrum.WavelengthNM(i)
		c.light[i] = planck(nm, kelvin) / planck(nm, d65Kelvin)
	}
	c.lamp = c.lit(card)
	c.white = spectrum.XYZ{X: c.balance(c.lamp.X, day.X, day.Y), Y: day.Y, Z: c.balance(c.lamp.Z, day.Z, day.Y)}
	return c
}

// balance is what is left of the lamp's share of X or Z, times the Y of daylight.
func (c camera) balance(lamp, day, dayY float64) float64 {
	return day * math.Pow(lamp/c.lamp.Y*dayY/day, 1-balanced)
}

func (c camera) lit(r spectrum.Spectrum) spectrum.XYZ {
	for i := range r {
		r[i] *= c.light[i]
	}
	return spectrum.D65.XYZ(r)
}

// sees returns the channels of a reflectance factor.
func (c camera) sees(r spectrum.Spectrum) colour {
	if c.own != nil {
		return c.own.sees(r)
	}
	if c.day {
		return seen(r)
	}
	xyz := c.lit(r).Adapt(c.lamp, c.white)
	red, green, blue := xyz.Lab(spectrum.D65.White()).Linear()
	return colour{red, green, blue}
}

// planck is the relative power of a black body (Planck 1901), with the second
// radiation constant of CODATA 2018, 1.438 776 877e-2 m K.
func planck(nm, kelvin float64) float64 {
	const c2 = 1.438776877e7 // nm K
	return math.Pow(nm, -5) / math.Expm1(c2/(nm*kelvin))
}
