package photo

import (
	"maps"
	"math"
	"slices"

	"setshade/internal/picture"
)

// A JPEG of middling quality rounds the chroma of a whole drop alike. What the
// rounding took is found again from what it cannot have been: each block of the file
// says between which bounds its mean chroma lies, and within an area of one colour
// chroma goes up and down with luma, which the file keeps far better. Shading, the
// light and the edges take the blocks over several bounds, and few colours agree with
// all of them.

// areaPixel is a pixel of an area of about one colour.
type areaPixel struct {
	index int
	// guess is what its chroma is thought to be, Cb and Cr; terms are what it may be
	// more, by the unknowns of the area.
	guess [2]float64
	terms []float64
	// spoilt says that something else is seen there, so that its block tells nothing
	// of the area.
	spoilt bool
}

// unrounded is the chroma of an area as its blocks bear it out.
type unrounded struct {
	theta    [2][]float64
	variance [2][]float64 // of each unknown, in code values squared
	bound    float64
}

// The bounds are blurred by what is left of the noise in the mean of a block and by
// what the terms do not follow: this many code values, and this share of a step.
const (
	blurCodes = 0.05
	blurStep  = 0.12
)

func blurOf(k *picture.Chroma) float64 { return math.Hypot(blurCodes, blurStep*k.Step) }

// leastStep is the finest step, in code values, whose rounding is worth finding: finer
// ones leave enough noise to average it out. Files from quality 90 on have finer ones.
const leastStep = 0.5

// roundedChroma is what a file says of its blocks, nil when it rounds little or is no
// JPEG.
func roundedChroma(p *picture.Picture) *picture.Chroma {
	if p.Chroma == nil || p.Chroma.Step < leastStep {
		return nil
	}
	return p.Chroma
}

// leastBlocks is how many whole blocks of an area tell its colour.
const leastBlocks = 3

// unround finds the chroma of an area from the blocks that it fills; false when there
// are too few of them, or the file rounds little. prior is the standard deviation of
// each unknown before the blocks are asked, for Cb and Cr alike.
func unround(p *picture.Picture, pixels []areaPixel, prior []float64) (unrounded, bool) {
	k := roundedChroma(p)
	if k == nil {
		return unrounded{}, false
	}
	seen := blocksOf(p, pixels, len(prior))
	u := unrounded{bound: mostChange * k.Step}
	if len(seen[picture.Cb]) < leastBlocks {
		return u, false
	}
	for c := range seen {
		theta, covariance := fitBounded(seen[c], blurOf(k), prior)
		u.theta[c], u.variance[c] = theta, make([]float64, len(theta))
		for a := range theta {
			u.variance[c][a] = covariance.At(a, a)
		}
	}
	return u, true
}

// blocksOf gathers what the blocks that the area fills say of their Cb and Cr.
func blocksOf(p *picture.Picture, pixels []areaPixel, unknowns int) (seen [2][]bounded) {
	k, scale := p.Chroma, float64(p.Scale)
	type sum struct {
		pixels float64
		guess  [2]float64
		terms  []float64
		spoilt bool
	}
	sums := map[int]*sum{}
	for i := range pixels {
		px := &pixels[i]
		block := k.At((float64(px.index%p.W)+0.5)*scale, (float64(px.index/p.W)+0.5)*scale)
		if block < 0 {
			continue
		}
		s := sums[block]
		if s == nil {
			s = &sum{terms: make([]float64, unknowns)}
			sums[block] = s
		}
		s.pixels++
		s.spoilt = s.spoilt || px.spoilt
		for c, v := range px.guess {
			s.guess[c] += v
		}
		for a, v := range px.terms {
			s.terms[a] += v
		}
	}
	const filled = 0.9
	least := filled * k.Area() / (scale * scale)
	for _, block := range slices.Sorted(maps.Keys(sums)) {
		s := sums[block]
		if s.spoilt || s.pixels < least {
			continue
		}
		for a := range s.terms {
			s.terms[a] /= s.pixels
		}
		for c := range seen {
			low, high := k.Within(block, c)
			seen[c] = append(seen[c], bounded{low, high, s.guess[c] / s.pixels, s.terms})
		}
	}
	return seen
}

// mostChange is how many steps of the file a pixel's chroma is changed at most: a
// bit of another colour stays one.
const mostChange = 1.5

// light is that of a pixel with the chroma that was found.
func (u *unrounded) light(p *picture.Picture, px *areaPixel) [channels]float64 {
	coded := p.CodedAt(px.index)
	var change [2]float64
	for c := range change {
		want := px.guess[c]
		for a, t := range px.terms {
			want += t * u.theta[c][a]
		}
		change[c] = min(max(want-coded.Chroma[c], -u.bound), u.bound)
	}
	return p.Code.Space.Recoloured(lightOf(p, px.index), change)
}

func lightOf(p *picture.Picture, i int) [channels]float64 {
	return [channels]float64{float64(p.Light[red][i]), float64(p.Light[green][i]), float64(p.Light[blue][i])}
}
