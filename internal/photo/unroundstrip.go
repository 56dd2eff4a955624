package photo

import (
	"setshade/internal/card"
	"setshade/internal/picture"
	"setshade/internal/plane"
)

// unroundStrip finds the chroma of the patches from the blocks of the file and gives
// it to their pixels. white is the light of card white, scale how many pixels of p make
// one that it was fitted in.
//
// A patch is even, so that all blocks in it are rounded alike. Those that its edges
// cross, towards bare card above and below it, hold a share of white, whose chroma is
// known from all of the card, and the share is told by luma. That share is not sure
// enough to narrow the doubt of a patch as well: fitted with doubts so small, the
// camera's tone curve follows what is left of the errors.
func unroundStrip(c *printedCard, p *picture.Picture, white *surface, scale float64) {
	if roundedChroma(p) == nil {
		return
	}
	for _, printed := range c.geometry.Strip {
		pixels, read := patchPixels(c, p, printed.Rect, white, scale)
		found, ok := unround(p, pixels, []float64{p.Chroma.Step})
		if !ok {
			continue
		}
		for i := range pixels[:read] {
			light := found.light(p, &pixels[i])
			for c, v := range light {
				p.Light[c][pixels[i].index] = float32(v)
			}
		}
	}
}

// patchPixels sets out the pixels of a patch, those that are read first, and of the
// card above and below it. The unknown is the patch's chroma at its mean luma.
func patchPixels(c *printedCard, p *picture.Picture, r card.Rect, white *surface, scale float64) (pixels []areaPixel, read int) {
	whiteAt := func(x, y int) picture.Coded {
		row := white.row(float64(y)+0.5, scale)
		var light [channels]float64
		for c := range light {
			light[c] = horner(&row[c], (float64(x)+0.5)/scale/white.halfW-1)
		}
		return p.Code.Space.Coded(light)
	}
	taken := map[int]bool{}
	var mean picture.Coded
	paper := 0.0 // mean luma of the card there
	plane.EachRow(c.outlineOf(shrunk(r)), p.W, p.H, func(y, from, to int) {
		for x := from; x < to; x++ {
			i := y*p.W + x
			coded := p.CodedAt(i)
			mean.Luma += coded.Luma
			for c, v := range coded.Chroma {
				mean.Chroma[c] += v
			}
			paper += whiteAt(x, y).Luma
			taken[i] = true
			pixels = append(pixels, areaPixel{index: i, terms: []float64{coded.Luma}})
		}
	})
	read = len(pixels)
	if read == 0 {
		return nil, 0
	}
	n := float64(read)
	mean.Luma, paper = mean.Luma/n, paper/n
	for c := range mean.Chroma {
		mean.Chroma[c] /= n
	}
	set := func(px *areaPixel, share, paperShare float64, around picture.Coded) {
		px.terms[0] = share
		for c := range px.guess {
			px.guess[c] = share*mean.Chroma[c] + paperShare*around.Chroma[c]
		}
	}
	for i := range pixels {
		set(&pixels[i], pixels[i].terms[0]/mean.Luma, 0, picture.Coded{})
	}
	const contrast = 25 // code values of luma that tell patch from card
	if paper-mean.Luma < contrast {
		return pixels, read
	}
	plane.EachRow(c.outlineOf(aboveAndBelow(r)), p.W, p.H, func(y, from, to int) {
		for x := from; x < to; x++ {
			i := y*p.W + x
			if taken[i] {
				continue
			}
			around := whiteAt(x, y)
			own := mean.Luma * around.Luma / paper // of the patch in the light here
			share := min(max((around.Luma-p.CodedAt(i).Luma)/(around.Luma-own), 0), 1)
			px := areaPixel{index: i, terms: make([]float64, 1)}
			set(&px, share*around.Luma/paper, 1-share, around)
			pixels = append(pixels, px)
		}
	})
	return pixels, read
}

// aboveAndBelow is a patch with the bare card on both sides of the strip, but not the
// gaps to its neighbours.
func aboveAndBelow(r card.Rect) card.Rect {
	const bare, beside = 3.0, 0.35 // mm
	return card.Rect{
		Min: card.Point{X: r.Min.X + beside, Y: r.Min.Y - bare},
		Max: card.Point{X: r.Max.X - beside, Y: r.Max.Y + bare},
	}
}
