package photo

import (
	"math"

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
	// across are the columns from and to of each row that lie inside the outline.
	across [][2]int
}

// at is the ratio to card white at a pixel of the window.
func (f *flattened) at(i int32) (ratio [channels]float64) {
	for c := range ratio {
		ratio[c] = float64(f.ratio[c][i])
	}
	return ratio
}

// near is the ratio of the pixel at a place of the window; false outside it, and, unless
// print is asked for, where no bare card can be.
func (f *flattened) near(p plane.Point, print bool) ([channels]float64, bool) {
	x, y := int(math.Floor(p.X)), int(math.Floor(p.Y))
	if x < 0 || y < 0 || x >= f.w || y >= f.h || !print && !f.inside[y*f.w+x] {
		return [channels]float64{}, false
	}
	return f.at(int32(y*f.w + x)), true
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
		f.ratio[c] = make([]float32, f.w*f.h)
	}
	f.inside, f.across = make([]bool, f.w*f.h), make([][2]int, f.h)
	plane.EachRow(outline[:], p.W, p.H, func(y, from, to int) {
		polynomials := s.row(float64(y)+0.5, scale)
		at := (y-f.y0)*f.w - f.x0
		for c := range f.ratio {
			start, step := (float64(from)+0.5)/scale/s.halfW-1, 1/scale/s.halfW
			divide(f.ratio[c][at+from:at+to], p.Light[c][y*p.W+from:y*p.W+to], &polynomials[c], start, step)
		}
		for x := from; x < to; x++ {
			f.inside[at+x] = true
		}
		f.cardPx += to - from
		f.across[y-f.y0] = [2]int{from - f.x0, to - f.x0}
	})
	f.blankOutside()
	return f
}

// divide fills in the ratios of light along a row to the polynomial of white, which
// starts at x and goes on in steps. Over a few pixels one over white is a straight
// line, to within 1e-4 of it where the light changes 1:3 over the card.
func divide(ratio, light []float32, white *[degree + 1]float64, x, step float64) {
	const leastWhite, few = 1e-4, 8
	share := func(pixels int) float32 { return float32(1 / max(horner(white, x+float64(pixels)*step), leastWhite)) }
	for first, here := 0, share(0); first < len(light); first += few {
		next := share(first + few)
		slope := (next - here) / few
		part := light[first:min(first+few, len(light))]
		out := ratio[first:][:len(part)]
		for k, v := range part {
			out[k] = v * (here + float32(k)*slope)
		}
		here = next
	}
}

// blankOutside sets the ratio to 1 where the outline leaves the window out.
func (f *flattened) blankOutside() {
	for y, across := range f.across {
		for c := range f.ratio {
			row := f.ratio[c][y*f.w : (y+1)*f.w]
			for _, side := range [2][]float32{row[:across[0]], row[across[1]:]} {
				for x := range side {
					side[x] = 1
				}
			}
		}
	}
}

// tint is how pixels differ from the card: the brightness, the mean of the ratios, and
// two chromaticities that a shadow leaves at zero. It holds w by h pixels of the
// flattened card, every pace-th across and down; outside the card's outline it is zero.
type tint struct {
	pace, w, h                   int
	inside                       []bool
	bright, redGreen, blueYellow []float32
}

// third is multiplied by where the processor would take long to divide.
const third = 1.0 / 3

// tints computes the tint of every pace-th pixel from ratios averaged over 3 x 3
// pixels, against noise and the colour blocks of JPEG.
func (f *flattened) tints(pace int) tint {
	t := tint{pace: pace, w: (f.w + pace - 1) / pace, h: (f.h + pace - 1) / pace}
	n := t.w * t.h
	t.inside, t.bright, t.redGreen, t.blueYellow = make([]bool, n), make([]float32, n), make([]float32, n), make([]float32, n)
	var mean [channels][]float32
	for c := range mean {
		mean[c] = make([]float32, f.w)
	}
	scratch := make([]float32, f.w)
	const darkest = 0.02 // below it chromaticity is noise; the drop is found by its darkness
	for y := range t.h {
		from, to := f.across[y*pace][0], f.across[y*pace][1]
		for c := range mean {
			average3(mean[c], scratch, f.ratio[c], f.w, f.h, y*pace, from, to)
		}
		inside := f.inside[y*pace*f.w:][:f.w]
		reds, greens, blues := mean[red][:f.w], mean[green][:f.w], mean[blue][:f.w]
		at := y*t.w + (from+pace-1)/pace
		for x := (from + pace - 1) / pace * pace; x < to; x += pace {
			r, g, b := reds[x], greens[x], blues[x]
			v := (r + g + b) * third
			share := float32(1 / darkest)
			if v > darkest {
				share = 1 / v
			}
			t.inside[at], t.bright[at], t.redGreen[at], t.blueYellow[at] = inside[x], v, (r-g)*share, (b-(r+g)/2)*share
			at++
		}
	}
	return t
}

// average3 fills the columns from..to-1 of a row with the means of the 3 x 3
// neighbourhoods of row y of a plane of w by h, along its edge of the three within it.
func average3(mean, scratch, plane []float32, w, h, y, from, to int) {
	left, right := max(0, from-1), min(w, to+1)
	row := func(y int) []float32 { return plane[y*w+left : y*w+right] }
	down := row(y)
	if y > 0 && y < h-1 {
		above, below, out := row(y - 1)[:len(down)], row(y + 1)[:len(down)], scratch[:len(down)]
		for x, v := range down {
			out[x] = (v + above[x] + below[x]) * third
		}
		down = out
	}
	mean = mean[left:right]
	if len(down) < 3 {
		copy(mean, down)
		return
	}
	last := len(down) - 1
	mean[0], mean[last] = down[0], down[last]
	before, middle, after, out := down[:last-1], down[1:last], down[2:], mean[1:last]
	for x, v := range middle {
		out[x] = (before[x] + v + after[x]) * third
	}
}
