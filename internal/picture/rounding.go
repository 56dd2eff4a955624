package picture

import "math"

// A JPEG keeps two chroma numbers beside the luma. The camera rounds them to
// whole numbers, the file keeps the mean of a block in steps of its own, and the
// decoder rounds to whole numbers again. Noise would average that rounding out,
// but the compression takes just this noise away, so over an even drop all
// pixels are rounded alike: an error of chroma that no averaging removes. Chroma says what it can have been.

// Code says how the file kept its colours: luma and chroma as JPEG does, with
// those of a block in steps of lumaStep and chromaStep, or red, green and blue; and what
// red, green and blue mean. Codes of 16 bits are taken for 8, which is too
// careful rather than too bold.
type Code struct {
	luma                 bool
	lumaStep, chromaStep float64
	// Space is what red, green and blue mean.
	Space *ColourSpace
}

// ChromaStep is in what steps of code values the file keeps the chroma of a block, 0
// for a file that is no JPEG. Cameras write 1 or less.
func (k Code) ChromaStep() float64 { return k.chromaStep }

// variance is that of the rounding of an even area, in code values: uniform
// over a step, once for each rounding.
func (k Code) variance() float64 {
	if k.luma {
		return (1 + 1 + k.chromaStep*k.chromaStep) / 12
	}
	return 1.0 / 12
}

// roundings are the changes of R', G' and B' that rounding makes independently:
// one step of Cb and of Cr (ITU-T T.871, section 7), or one of each channel.
func (k Code) roundings() [][Channels]float64 {
	if k.luma {
		return [][Channels]float64{{0, -0.344136, 1.772}, {1.402, -0.714136, 0}}
	}
	return [][Channels]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
}

// ErrorAt is the covariance, of linear light, of the rounding of an even
// area.
func (k Code) ErrorAt(light [Channels]float64) (cov [Channels][Channels]float64) {
	own := k.Space.FromSRGB.Times(light)
	variance := k.variance()
	for _, change := range k.roundings() {
		for c := range change {
			change[c] *= k.Space.slope(c, own[c])
		}
		change = k.Space.ToSRGB.Times(change)
		for a := range change {
			for b := range change {
				cov[a][b] += variance * change[a] * change[b]
			}
		}
	}
	return cov
}

// LumaErrorAt is the standard deviation, of linear light, that the step of luma leaves in
// the mean of a block: in all channels alike, and 0 for a file that is no JPEG.
func (k Code) LumaErrorAt(light [Channels]float64) (out [Channels]float64) {
	own := k.Space.FromSRGB.Times(light)
	for c := range out {
		out[c] = k.lumaStep / math.Sqrt(12) * k.Space.slope(c, own[c])
	}
	return k.Space.ToSRGB.Times(out)
}

// TintErrors is the standard deviation of the rounding in the two
// chromaticities of a tint, on card white of the given light.
func (k Code) TintErrors(white float64) (redGreen, blueYellow float64) {
	largest := func(tint [Channels]float64) float64 {
		most := 0.0
		for _, change := range k.roundings() {
			for c := range change {
				change[c] *= k.Space.slope(c, white)
			}
			change = k.Space.ToSRGB.Times(change)
			most = max(most, math.Abs(tint[Red]*change[Red]+tint[Green]*change[Green]+tint[Blue]*change[Blue]))
		}
		return most * math.Sqrt(k.variance()) / white
	}
	return largest([Channels]float64{1, -1, 0}), largest([Channels]float64{-0.5, -0.5, 1})
}
