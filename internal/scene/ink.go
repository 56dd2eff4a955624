package scene

import (
	"math"

	"setshade/internal/card"
	"setshade/internal/spectrum"
)

// Printer is what a card is printed on.
type Printer struct {
	// black is the reflectance of its solid black ink on card.
	black float64
	// gain is how its dots grow: a share a of the card asked for comes to a to the
	// power 1/gain.
	gain float64
	// inks are what a solid layer of each coloured ink lets through on the way down
	// and up again: cyan, magenta and yellow, the complements of red, green and blue.
	inks [3]spectrum.Spectrum
}

// usualPrinter has a matt black of four hundredths, dots of the size asked for, and
// inks with these optical densities, in natural logarithms (all invented, plausible
// in size).
var usualPrinter = newPrinter(0.04, 1, [3]Band{{660, 140, 2.8}, {540, 75, 2.4}, {440, 75, 2.4}})

func newPrinter(black, gain float64, bands [3]Band) *Printer {
	p := &Printer{black: black, gain: gain}
	for k, band := range bands {
		p.inks[k] = Absorption(band).Map(func(density float64) float64 { return math.Exp(-density) })
	}
	return p
}

// RandomPrinter returns another printer than the usual one (invented): its inks lie
// up to 15 nm to a side and are a quarter stronger or weaker, its dots grow, and its
// black is of three to seven hundredths.
func RandomPrinter(seed uint64) *Printer {
	r := newSeeded(seed)
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	ink := func(nm, width, density float64) Band {
		return Band{nm + between(-15, 15), width, density * between(0.75, 1.25)}
	}
	return newPrinter(between(0.03, 0.07), between(0.8, 1.5), [3]Band{ink(660, 140, 2.8), ink(540, 75, 2.4), ink(440, 75, 2.4)})
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
func (p *Printer) inked(c card.Colour, paper spectrum.Spectrum) spectrum.Spectrum {
	light := [3]float64{}
	light[0], light[1], light[2] = c.Target().Linear()
	for k, bare := range light {
		light[k] = 1 - math.Pow(1-min(bare, 1), 1/p.gain)
	}
	var out spectrum.Spectrum
	for i := range out {
		if c.IsGrey() {
			out[i] = mix(p.black, paper[i], light[1])
			continue
		}
		out[i] = paper[i]
		for k, bare := range light {
			out[i] *= mix(p.inks[k][i], 1, bare)
		}
	}
	return out
}
