package photo

import (
	"slices"

	"setshade/internal/picture"
	"setshade/internal/plane"
)

// flattened is the card's part of the picture with every channel divided by
// card white: 1 on bare card, the reflectance relative to the card elsewhere.
// Outside the card's outline inside is false and the ratio 1, so that an average at
// the edge does not show a dark rim.
type flattened struct {
	x0, y0, w, h int // the window in the picture
	ratio        [channels][]float32
	inside       []bool
	cardPx       int
}

// at is the ratio to card white at a pixel of the window.
func (f *flattened) at(i int32) (ratio [channels]float64) {
	for c := range ratio {
		ratio[c] = float64(f.ratio[c][i])
	}
	return ratio
}

// flatten divides by the surface inside the outline, which is given in pixels
// of p; scale is how many of these make one pixel the surface was fitted in.
func flatten(p *picture.Picture, s *surface, outline plane.Quad, scale float64) *flattened {
	x0, y0, x1, y1 := float64(p.W), float64(p.H), 0.0, 0.0
	for _, c := range outline {
		x0, y0, x1, y1 = min(x0, c.X), min(y0, c.Y), max(x1, c.X), max(y1, c.Y)
	}
	f := &flattened{x0: max(0, int(x0)), y0: max(0, int(y0))}
	f.w = max(0, min(p.W, int(x1)+1)-f.x0)
	f.h = max(0, min(p.H, int(y1)+1)-f.y0)
	for c := range f.ratio {
		f.ratio[c] = slices.Repeat([]float32{1}, f.w*f.h)
	}
	f.inside = make([]bool, f.w*f.h)
	const leastWhite = 1e-4
	plane.EachRow(outline[:], p.W, p.H, func(y, from, to int) {
		polynomials := s.row(float64(y)+0.5, scale)
		at := (y-f.y0)*f.w - f.x0
		for c := range f.ratio {
			light, ratio := p.Light[c][y*p.W+from:y*p.W+to], f.ratio[c][at+from:at+to]
			white, d1, d2, d3, d4 := differencesOf(&polynomials[c], (float64(from)+0.5)/scale/s.halfW-1, 1/scale/s.halfW)
			for x, v := range light {
				divisor := float32(leastWhite)
				if white > leastWhite {
					divisor = float32(white)
				}
				ratio[x] = v / divisor
				white, d1, d2, d3 = white+d1, d1+d2, d2+d3, d3+d4
			}
		}
		for x := from; x < to; x++ {
			f.inside[at+x] = true
		}
		f.cardPx += to - from
	})
	return f
}

// differencesOf returns the value of a polynomial at x and its differences for even
// steps from there, by which it is run along with an addition for each. The
// polynomial is first written in steps, b_k = h^k p^(k)(x) / k!, by Horner's scheme;
// its differences are Δ^m = Σ_k m! S(k, m) b_k with Stirling's numbers of the second
// kind S (Abramowitz and Stegun 1964, 24.1.4).
func differencesOf(poly *[degree + 1]float64, x, step float64) (v, d1, d2, d3, d4 float64) {
	b := *poly
	for k := range degree {
		for i := degree - 1; i >= k; i-- {
			b[i] += x * b[i+1]
		}
	}
	h := step
	for k := 1; k <= degree; k++ {
		b[k] *= h
		h *= step
	}
	return b[0], b[1] + b[2] + b[3] + b[4], 2*b[2] + 6*b[3] + 14*b[4], 6*b[3] + 36*b[4], 24 * b[4]
}

// tint is how a pixel differs from the card: the brightness, the mean of the
// ratios, and two chromaticities that a shadow leaves at zero.
type tint struct {
	bright, redGreen, blueYellow []float32
}

// third is multiplied by where the processor would take long to divide.
const third = 1.0 / 3

// tints computes the tint of each pixel from ratios averaged over 3 x 3 pixels,
// against noise and the colour blocks of JPEG.
func (f *flattened) tints() tint {
	n := f.w * f.h
	t := tint{make([]float32, n), make([]float32, n), make([]float32, n)}
	var mean [channels][]float32
	for c := range mean {
		mean[c] = make([]float32, f.w)
	}
	scratch := make([]float32, f.w)
	const darkest = 0.02 // below it chromaticity is noise; the drop is found by its darkness
	for y := range f.h {
		for c := range mean {
			average3(mean[c], scratch, f.ratio[c], f.w, f.h, y)
		}
		bright, redGreen, blueYellow := t.bright[y*f.w:][:f.w], t.redGreen[y*f.w:][:f.w], t.blueYellow[y*f.w:][:f.w]
		reds, greens, blues := mean[red][:f.w], mean[green][:f.w], mean[blue][:f.w]
		for x, r := range reds {
			g, b := greens[x], blues[x]
			v := (r + g + b) * third
			share := float32(1 / darkest)
			if v > darkest {
				share = 1 / v
			}
			bright[x], redGreen[x], blueYellow[x] = v, (r-g)*share, (b-(r+g)/2)*share
		}
	}
	return t
}

// average3 fills a row with the means of the 3 x 3 neighbourhoods of row y of a plane
// of w by h, along its edge of the three within it.
func average3(mean, scratch, plane []float32, w, h, y int) {
	row := func(y int) []float32 { return plane[y*w:][:w] }
	down := scratch[:w]
	copy(down, row(y))
	if y > 0 && y < h-1 {
		above, below := row(y-1), row(y+1)
		for x, v := range down {
			down[x] = (v + above[x] + below[x]) * third
		}
	}
	copy(mean, down)
	if w < 3 {
		return
	}
	left, middle, right, out := down[:w-2], down[1:w-1], down[2:], mean[1:w-1]
	for x, v := range middle {
		out[x] = (left[x] + v + right[x]) * third
	}
}
