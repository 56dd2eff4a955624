package photo

import "math"

// A JPEG keeps two chroma numbers beside the luma. The camera rounds them to
// whole numbers, the file keeps the mean of a block in steps of its own, and the
// decoder rounds to whole numbers again. Noise would average that rounding out,
// but the compression takes just this noise away, so over an even drop all
// pixels are rounded alike: an error of chroma that no averaging removes.

// code says how the file kept its colours: luma and chroma as JPEG does, with
// the chroma of a block in steps of chromaStep, or red, green and blue.
type code struct {
	luma       bool
	chromaStep float64
}

// variance is that of the rounding of an even area, in code values: uniform
// over a step, once for each rounding.
func (k code) variance() float64 {
	if k.luma {
		return (1 + 1 + k.chromaStep*k.chromaStep) / 12
	}
	return 1.0 / 12
}

// fromChroma is the change of R', G' and B' for one step of Cb and of Cr
// (ITU-T T.871, section 7).
var fromChroma = [2][channels]float64{{0, -0.344136, 1.772}, {1.402, -0.714136, 0}}

// codeSlope is the change of linear light for one code value, at a linear
// light (the derivative of IEC 61966-2-1:1999, 5.2).
func codeSlope(light float64) float64 {
	if light <= 0.0031308 {
		return 1 / 12.92 / 255
	}
	return 2.4 / 1.055 * math.Pow(light, 1.4/2.4) / 255
}

// roundingError is the covariance, of linear light, of the rounding of an even
// area.
func roundingError(light [channels]float64, k code) (cov [channels][channels]float64) {
	variance := k.variance()
	var slope [channels]float64
	for c := range slope {
		slope[c] = codeSlope(light[c])
	}
	if !k.luma {
		for c := range slope {
			cov[c][c] = variance * slope[c] * slope[c]
		}
		return cov
	}
	for _, change := range fromChroma {
		for a := range slope {
			for b := range slope {
				cov[a][b] += variance * change[a] * slope[a] * change[b] * slope[b]
			}
		}
	}
	return cov
}

// roundingTints is the standard deviation of the rounding in the two
// chromaticities of a tint, on card white of the given light.
func roundingTints(white float64, k code) (redGreen, blueYellow float64) {
	step := codeSlope(white) / white * math.Sqrt(k.variance())
	if !k.luma {
		return step, step
	}
	cb, cr := fromChroma[0], fromChroma[1]
	return step * (cr[red] - cr[green]), step * (cb[blue] - cb[green]/2)
}
