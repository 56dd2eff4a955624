package calibrate

import (
	"math"

	"setshade/internal/optics"
)

// Wavelengths in nm at which the three channels of sRGB stand for the
// spectrum when a start is made up.
var channelNM = [3]float64{610, 545, 450}

// mostStarts is how many drops a dye's descent is begun from, at most.
const mostStarts = 6

// starts lists where the descent of one dye may begin: the three-channel
// Kubelka-Munk answer of each of its pure drops, or of some where there are many, and
// of the mean of all, so that one mislabelled drop cannot choose for all.
func starts(samples []Sample, d DyeRange, waxKS [3]float64, m media) [][]float64 {
	var out [][]float64
	var mean [3]float64
	for _, s := range samples {
		if len(s.Recipe) != 1 || s.Recipe[0].Dye != d.Name {
			continue
		}
		levels := channelKS(s, m)
		for c := range levels {
			levels[c] = math.Log(math.Max(levels[c]-waxKS[c], 1e-3)) - math.Log(s.Recipe[0].DoseGPerKg/d.ReferenceGPerKg)
			mean[c] += levels[c]
		}
		out = append(out, startOf(levels))
	}
	if len(out) == 0 {
		return [][]float64{startOf([3]float64{dyeLevel, dyeLevel, dyeLevel})}
	}
	for c := range mean {
		mean[c] /= float64(len(out))
	}
	return append(evenly(out, mostStarts), startOf(mean))
}

// channelKS is the absorption of a drop in red, green and blue: of a set one its
// K/S, taken as opaque; of a liquid one its optical depth over the usual scale.
func channelKS(s Sample, m media) [3]float64 {
	r, g, b := s.Colour.Lab.Linear()
	var ks [3]float64
	for c, v := range [3]float64{r, g, b} {
		if s.isLiquid() {
			const card = 0.88
			lightest := m.layer.Reflectance(0.002, card)
			depth, err := m.layer.OpticalDepth(math.Min(math.Max(v, 0.003), lightest), card)
			if err != nil {
				panic("calibrate: every reflectance in this range has a depth: " + err.Error())
			}
			ks[c] = depth / math.Exp(liquidScaleLevel)
			continue
		}
		inner := m.surface.Inside(math.Min(math.Max(v, 0.003), 0.95))
		ks[c] = optics.KSOfReflectance(math.Min(math.Max(inner, 0.002), 0.99))
	}
	return ks
}

// startOf draws a curve of broken lines through the levels of the three
// channels, with the exponent at 1.
func startOf(levels [3]float64) []float64 {
	out := make([]float64, dyeUnknowns)
	for j := range knots {
		nm := 380 + 350*(float64(j)-1)/(knots-3) // the centre of B-spline j
		switch {
		case nm >= channelNM[1]:
			out[j] = between(nm, channelNM[1], channelNM[0], levels[1], levels[0])
		default:
			out[j] = between(nm, channelNM[2], channelNM[1], levels[2], levels[1])
		}
	}
	out[exponent] = exponentLevel
	return out
}

// between interpolates from a to b, and holds the ends beyond them.
func between(x, fromX, toX, a, b float64) float64 {
	t := math.Min(math.Max((x-fromX)/(toX-fromX), 0), 1)
	return a + t*(b-a)
}
