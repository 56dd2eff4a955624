package spectrum

import (
	"fmt"

	"github.com/lucasb-eyer/go-colorful"
)

// Display is a colour as a screen shows it: sRGB (IEC 61966-2-1), each channel
// 0..255, and whether the true colour lay outside what sRGB can show.
type Display struct {
	R, G, B uint8
	Clipped bool
}

// Display returns the sRGB colour of a Lab colour under D65, white to white.
// Colours outside sRGB are clipped channel by channel, and say so.
func (c Lab) Display() Display {
	rgb := c.colorful()
	// Half a level of an 8-bit screen is not worth calling out of range.
	const slack = 0.5 / 255
	clipped := min(rgb.R, rgb.G, rgb.B) < -slack || max(rgb.R, rgb.G, rgb.B) > 1+slack
	r, g, b := rgb.Clamped().RGB255()
	return Display{r, g, b, clipped}
}

// Linear returns the colour in linear-light sRGB, 1 for display white; outside
// sRGB a value is below 0 or above 1.
func (c Lab) Linear() (r, g, b float64) {
	x, white, d65 := c.XYZ(D65.White()), D65.White(), colorful.D65
	return colorful.XyzToLinearRgb(x.X/white.X*d65[0], x.Y, x.Z/white.Z*d65[2])
}

func (c Lab) colorful() colorful.Color { return colorful.LinearRgb(c.Linear()) }

// Hex returns the display colour as #rrggbb.
func (c Lab) Hex() string {
	d := c.Display()
	return fmt.Sprintf("#%02x%02x%02x", d.R, d.G, d.B)
}

// LabOfHex reads a display colour such as #d8a49b, taken as sRGB under D65.
func LabOfHex(hex string) (Lab, error) {
	rgb, err := colorful.Hex(hex)
	if err != nil {
		return Lab{}, fmt.Errorf("%q is not a display colour like #d8a49b", hex)
	}
	lab := LabOfLinear(rgb.LinearRgb())
	lab.L = max(lab.L, 0) // black comes out a rounding below
	return lab, nil
}

// LabOfLinear returns the Lab colour under D65 of linear-light sRGB, 1 for
// display white.
func LabOfLinear(r, g, b float64) Lab {
	x, y, z := colorful.LinearRgbToXyz(r, g, b)
	white, d65 := D65.White(), colorful.D65
	return XYZ{x / d65[0] * white.X, y, z / d65[2] * white.Z}.Lab(white)
}
