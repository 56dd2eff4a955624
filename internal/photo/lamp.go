package photo

import (
	"math"

	"setshade/internal/spectrum"
)

// How warm a picture may show white card, as the logarithm of red over blue in linear
// sRGB, before a lamp is told of. Daylight of 5000 K makes 0.49 of it where a camera
// that is set for D65 takes none of the light's colour away (warmestDaylight). One that
// balances white by itself takes most away (common practice, no source); rendered, it
// leaves 0.16 of daylight of 5000 K, 0.43 of a lamp of 3500 K and 0.73 of one of 2700 K;
// cream-coloured card, of b* 8, adds 0.2.
const warmestBalanced = 0.38

// warmestDaylight is the warmth of D50 (CIE 15), the warmest daylight that colours are
// given for, as sRGB shows it.
var warmestDaylight = warmth(linearOf(spectrum.D50.White().Lab(spectrum.D65.White())))

func warmth(white [channels]float64) float64 {
	return math.Log(max(white[red], 1e-6) / max(white[blue], 1e-6))
}

// warmthOf is that of the light on the card in all.
func warmthOf(whites [][channels]float64) float64 {
	var sum [channels]float64
	for _, w := range whites {
		for c, v := range w {
			sum[c] += v
		}
	}
	return warmth(sum)
}

// judgeLamp tells of a lamp that shows in the picture, or that the file names. One whose
// colour the camera took away shows nowhere: the strip and the card are then as they
// are in daylight, and dyes are not.
func (r *Reading) judgeLamp(white *surface, bare spectrum.Lab) {
	warmest := warmestDaylight
	if r.told.Balanced {
		warmest = min(warmest, warmestBalanced)
	}
	switch {
	case r.told.Lamp != "":
		r.UnderLamp = "the camera says that " + r.told.Lamp + " lit the card"
	case white.warm-warmth(linearOf(bare)) > warmest:
		r.UnderLamp = "the white card looks yellow in the picture, as under a warm lamp"
	default:
		return
	}
	r.note("%s; %s", r.UnderLamp, r.Correction.Kind.underLamp())
}

// underLamp says what a lamp does to drops that are set right in that way. The figures
// are of drops rendered at 2700 K (TestRenderedLampIsTold); by a chart those of README.md.
func (k CorrectionKind) underLamp() string {
	const inDaylight = "photograph the card in daylight"
	const far = "2 to 6 dE00 off their colour in daylight: "
	switch k {
	case ByAnchor:
		return "drops agree only with those photographed under the same lamp"
	case ByReference:
		return "no strip takes away what that does to dyes, and drops may be " + far + inDaylight
	case ByChart:
		return "no chart takes away all that this does to dyes, and drops may be 2 to 3 dE00 off their colour in daylight: " + inDaylight
	default:
		return "drops may be " + far + inDaylight
	}
}
