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
	plane.EachRow(outline[:], p.W, p.H, func(y, from, to int) {
		polynomials := s.row(float64(y)+0.5, scale)
		at := (y-f.y0)*f.w - f.x0
		for c := range f.ratio {
			light, ratio := p.Light[c][y*p.W+from:y*p.W+to], f.ratio[c][at+from:at+to]
			white := newStepper(&polynomials[c], (float64(from)+0.5)/scale/s.halfW-1, 1/scale/s.halfW)
			for x := range ratio {
				ratio[x] = light[x] / float32(max(white.next(), 1e-4))
			}
		}
		for x := from; x < to; x++ {
			f.inside[at+x] = true
		}
		f.cardPx += to - from
	})
	return f
}

// stepper runs along a polynomial in even steps by its differences, an addition for
// each.
type stepper [degree + 1]float64

// newStepper begins at x. The polynomial is written in steps from there, b_k = h^k
// p^(k)(x) / k!, by Horner's scheme; its differences are Δ^m = Σ_k m! S(k, m) b_k
// with Stirling's numbers of the second kind S (Abramowitz and Stegun 1964,
// 24.1.4).
func newStepper(poly *[degree + 1]float64, x, step float64) stepper {
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
	return stepper{b[0], b[1] + b[2] + b[3] + b[4], 2*b[2] + 6*b[3] + 14*b[4], 6*b[3] + 36*b[4], 24 * b[4]}
}

func (d *stepper) next() float64 {
	v := d[0]
	d[0] += d[1]
	d[1] += d[2]
	d[2] += d[3]
	d[3] += d[4]
	return v
}

// tint is how a pixel differs from the card: the brightness, the mean of the
// ratios, and two chromaticities that a shadow leaves at zero.
type tint struct {
	bright, redGreen, blueYellow []float32
}

// tints computes the tint of each pixel from ratios averaged over 3 x 3 pixels,
// against noise and the colour blocks of JPEG.
func (f *flattened) tints() tint {
	n := f.w * f.h
	t := tint{make([]float32, n), make([]float32, n), make([]float32, n)}
	reds, greens, blues := f.ratio[red][:n], f.ratio[green][:n], f.ratio[blue][:n]
	for i, r := range reds {
		g, b := greens[i], blues[i]
		t.bright[i] = (r + g + b) / 3
		t.redGreen[i] = r - g
		t.blueYellow[i] = b - (r+g)/2
	}
	scratch := make([]float32, n)
	for _, plane := range [][]float32{t.bright, t.redGreen, t.blueYellow} {
		average3(plane, scratch, f.w, f.h)
	}
	const darkest = 0.02 // below it chromaticity is noise; the drop is found by its darkness
	for i, v := range t.bright {
		share := 1 / max(v, darkest)
		t.redGreen[i] *= share
		t.blueYellow[i] *= share
	}
	return t
}

// average3 replaces each inner value by the mean of its 3 x 3 neighbourhood.
func average3(plane, scratch []float32, w, h int) {
	for y := range h {
		row, out := plane[y*w:(y+1)*w], scratch[y*w:(y+1)*w]
		copy(out, row)
		if w < 3 {
			continue
		}
		left, middle, right := row[:w-2], row[1:w-1], row[2:]
		for x, v := range middle {
			out[x+1] = (left[x] + v + right[x]) / 3
		}
	}
	for y := 1; y < h-1; y++ {
		above, row, below := scratch[(y-1)*w:y*w], scratch[y*w:(y+1)*w], scratch[(y+1)*w:(y+2)*w]
		out := plane[y*w : (y+1)*w]
		for x := range out {
			out[x] = (above[x] + row[x] + below[x]) / 3
		}
	}
}
