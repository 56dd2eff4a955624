package card

import (
	"fmt"

	"setshade/internal/spectrum"
)

// Colour is what the printer is asked for, in sRGB, where 255, 255, 255 is the
// bare paper. What it prints is another matter: it depends on printer, ink and
// paper, and is known only once it is measured.
type Colour struct{ R, G, B uint8 }

// grey returns an even mixture, which is printed with black ink alone.
func grey(level uint8) Colour { return Colour{level, level, level} }

// IsGrey reports whether the colour is printed with black ink alone.
func (c Colour) IsGrey() bool { return c.R == c.G && c.G == c.B }

// Target returns the colour asked for, under D65, on an ideal white paper.
func (c Colour) Target() spectrum.Lab {
	lab, err := spectrum.LabOfHex(fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B))
	if err != nil {
		panic("card: a colour is always three bytes: " + err.Error())
	}
	return lab
}

// Inks of what is not measured. A reader may rely on black being far darker than
// the others.
var (
	black    = grey(0)
	wordGrey = grey(90)  // instructions
	noteGrey = grey(130) // numbers of places, captions
	lineGrey = grey(165) // lines to write on
	ringGrey = grey(195) // rings of places
)

// patchColours are those of the strip from left to right: grey steps nearly even
// in lightness, then six colours that any home printer can mix.
var patchColours = []Colour{
	grey(0), grey(50), grey(84), grey(118), grey(151), grey(183), grey(211), grey(235),
	{196, 62, 58}, {228, 192, 60}, {76, 146, 80}, {52, 138, 170}, {66, 84, 156}, {186, 84, 142},
}
