package scene

import (
	"math"

	"setshade/internal/card"
	"setshade/internal/spectrum"
)

// blackInk is the reflectance of solid black ink on card: matt, four hundredths
// (invented, plausible in size).
const blackInk = 0.04

// colourInks are what a solid layer of each coloured ink absorbs of light that
// passes it down and up again, as an optical density in natural logarithms
// (invented): cyan, magenta and yellow, the complements of red, green and blue.
var colourInks = [3]spectrum.Spectrum{
	Absorption(Band{660, 140, 2.8}),
	Absorption(Band{540, 75, 2.4}),
	Absorption(Band{440, 75, 2.4}),
}

// inked returns the reflectance of card printed with a colour, the way a printer
// at home does it with small dots. Greys are black dots on the card (Murray and
// Davies 1936, "Monochrome reproduction in photoengraving"):
//
//	R = g Rcard + (1 - g) Rblack
//
// with g the linear light asked for. Colours are dots of three inks laid down
// independently (Neugebauer 1937, with Demichel's areas), which for clear inks
// comes to
//
//	R = Rcard Π (1 - a (1 - exp(-d)))
//
// with a = 1 - linear red, green or blue the share covered by the ink of density
// d. So the colour printed is near the one asked for, and not the same.
func inked(c card.Colour, paper spectrum.Spectrum) spectrum.Spectrum {
	red, green, blue := c.Target().Linear()
	var out spectrum.Spectrum
	for i := range out {
		if c.IsGrey() {
			out[i] = mix(blackInk, paper[i], green)
			continue
		}
		out[i] = paper[i]
		for k, light := range [3]float64{red, green, blue} {
			out[i] *= mix(transmitted[k][i], 1, light)
		}
	}
	return out
}

// transmitted is exp(-density) of each ink.
var transmitted = func() (t [3]spectrum.Spectrum) {
	for k, density := range colourInks {
		t[k] = density.Map(func(d float64) float64 { return math.Exp(-d) })
	}
	return t
}()
