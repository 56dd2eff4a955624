package scene

import (
	"math"

	"setshade/internal/spectrum"
)

// colour is light in linear sRGB, 1 for the perfect diffuser in full light. It
// may leave 0..1.
type colour [3]float64

// seen returns XYZ under D65 of a reflectance factor, turned into sRGB.
func seen(r spectrum.Spectrum) colour {
	red, green, blue := spectrum.D65.Lab(r).Linear()
	return colour{red, green, blue}
}

func (c colour) times(f float64) colour { return colour{c[0] * f, c[1] * f, c[2] * f} }

func (c colour) under(l colour) colour { return colour{c[0] * l[0], c[1] * l[1], c[2] * l[2]} }

func (c colour) plus(v float64) colour { return colour{c[0] + v, c[1] + v, c[2] + v} }

func (c colour) sum(d colour) colour { return colour{c[0] + d[0], c[1] + d[1], c[2] + d[2]} }

func (c colour) towards(d colour, share float64) colour {
	return colour{mix(c[0], d[0], share), mix(c[1], d[1], share), mix(c[2], d[2], share)}
}

// encoder returns the way from linear light to an 8-bit level: the curve of IEC
// 61966-2-1, and the given share of an S-curve behind it.
func encoder(toneCurve float64) func(light float64) uint8 {
	table := new([encodeSteps]uint8)
	for i := range table {
		v := (float64(i) + 0.5) / (encodeSteps - 1)
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		v = mix(v, smoothstep(v), toneCurve)
		table[i] = uint8(min(255, math.Round(255*v)))
	}
	return func(light float64) uint8 {
		switch {
		case light <= 0:
			return 0
		case light >= 1:
			return 255
		}
		return table[int(light*(encodeSteps-1))]
	}
}

// encodeSteps is the size of an encoder's table; a step is less than a third of a
// level.
const encodeSteps = 1 << 15
