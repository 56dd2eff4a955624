package photo

import (
	"math"

	"setshade/internal/picture"
	"setshade/internal/plane"
)

// unround fits the chroma of the surface again, to what the blocks of bare card of
// the file p was averaged from say: its least squares follow the steps of rounding.
// The samples used, and their pixels, get the chroma that was found.
func (s *surface) unround(p, file *picture.Picture, samples []cardSample, card bareCard) {
	k, space := file.Chroma, file.Code.Space
	seen := s.blocksOfCard(p, k, space, samples, card)
	const least = 3 * terms
	if len(seen[picture.Cb]) < least {
		return
	}
	var theta [2][]float64
	for c := range theta {
		theta[c] = fitWhiteChroma(seen[c], k)
	}
	for i := range samples {
		sample := &samples[i]
		if !sample.used {
			continue
		}
		coded, white := space.Coded(sample.light), space.Coded(s.white(sample))
		var change [2]float64
		for c := range change {
			want := white.Chroma[c]
			for a, t := range sample.term {
				want += t * theta[c][a]
			}
			change[c] = want*coded.Luma/white.Luma - coded.Chroma[c]
		}
		sample.light = space.Recoloured(sample.light, change)
		for c, v := range sample.light {
			p.Light[c][sample.index] = float32(v)
		}
	}
	var sums normalSums
	sums.addUsed(samples)
	s.solve(&sums)
}

// fitWhiteChroma returns by how much, term by term, the chroma differs from the
// surface's. Blocks far off are leant on by print or a shadow, and left out.
func fitWhiteChroma(seen []bounded, k *picture.Chroma) []float64 {
	prior := make([]float64, terms)
	for a := range prior {
		prior[a] = k.Step
	}
	theta, _ := fitBounded(seen, blurOf(k), prior)
	const far = 4
	var good []bounded
	for _, o := range seen {
		if m := o.at(theta); m > o.low-far*blurOf(k) && m < o.high+far*blurOf(k) {
			good = append(good, o)
		}
	}
	if len(good) < len(seen) && len(good) > len(seen)/2 {
		theta, _ = fitBounded(good, blurOf(k), prior)
	}
	return theta
}

// blocksOfCard lists the blocks that show nothing but bare card: all samples in
// them and close by are used.
func (s *surface) blocksOfCard(p *picture.Picture, k *picture.Chroma, space *picture.ColourSpace, samples []cardSample, card bareCard) (seen [2][]bounded) {
	const outside, between, used, other = 0, 1, 2, 3
	state := make([]uint8, p.W*p.H)
	inner := card.corners.Inset(sampledInset)
	plane.EachRow(inner[:], p.W, p.H, func(y, from, to int) {
		for x := from; x < to; x++ {
			state[y*p.W+x] = between
		}
	})
	for i := range samples {
		state[samples[i].index] = other
		if samples[i].used {
			state[samples[i].index] = used
		}
	}
	scale := float64(p.Scale)
	bare := func(block int) bool {
		const around, inside = 1.5, 1.0 // pixels of p
		x0, y0, x1, y1 := k.Bounds(block)
		x0, y0, x1, y1 = x0/scale, y0/scale, x1/scale, y1/scale
		any := false
		for y := int(math.Floor(y0 - around)); y <= int(y1+around); y++ {
			for x := int(math.Floor(x0 - around)); x <= int(x1+around); x++ {
				if x < 0 || y < 0 || x >= p.W || y >= p.H || state[y*p.W+x] == outside || state[y*p.W+x] == other {
					return false
				}
				in := float64(x) > x0-inside && float64(x) < x1 && float64(y) > y0-inside && float64(y) < y1
				if in && card.bare != nil && !card.bare[y*p.W+x] {
					return false
				}
				any = any || state[y*p.W+x] == used
			}
		}
		return any
	}
	const enough = 12000 // blocks of the whole picture, beyond which not all are asked
	every := max(1, int(math.Sqrt(float64(k.W*k.H)/enough)))
	for row := 0; row < k.H; row += every {
		for column := 0; column < k.W; column += every {
			block := row*k.W + column
			if !bare(block) {
				continue
			}
			x0, y0, x1, y1 := k.Bounds(block)
			term := basis((x0+x1)/2/scale/s.halfW-1, (y0+y1)/2/scale/s.halfH-1)
			white := space.Coded(s.white(&cardSample{term: term}))
			for c := range seen {
				low, high := k.Within(block, c)
				seen[c] = append(seen[c], bounded{low, high, white.Chroma[c], term[:]})
			}
		}
	}
	return seen
}
