package photo

import (
	"math"
	"slices"
)

// spot is a dark round area on white, which may be a fiducial of a printed card.
type spot struct {
	ellipse
	area float64
	hole bool
	// edge is how far, in pixels, the light takes from dark to bright across the
	// outline (see edgeWidth).
	edge float64
}

// whiteField is the brightest light near each place: white paper, where there is
// any near.
type whiteField struct {
	light []float64
	w, h  int
	cell  int
}

// newWhiteField takes the maximum over a window that is wider than a fiducial,
// in a picture averaged down so that noise is no light.
func newWhiteField(p *picture) *whiteField {
	const cell = 4
	f := &whiteField{w: max(1, p.w/cell), h: max(1, p.h/cell), cell: cell}
	f.light = make([]float64, f.w*f.h)
	for y := range f.h {
		for x := range f.w {
			sum := 0.0
			for line := y * cell; line < min(p.h, (y+1)*cell); line++ {
				for column := x * cell; column < min(p.w, (x+1)*cell); column++ {
					sum += p.luminance(line*p.w + column)
				}
			}
			f.light[y*f.w+x] = sum / (cell * cell)
		}
	}
	reach := max(4, max(f.w, f.h)/22)
	f.light = widest(f.light, f.w, f.h, reach, 1)
	f.light = widest(f.light, f.w, f.h, reach, f.w)
	return f
}

// widest is the maximum over a window along a row (step 1) or a column (step w).
//
// The window slides: of the places in it only those stay in the queue that no
// brighter one has followed.
func widest(in []float64, w, h, reach, step int) []float64 {
	out := make([]float64, len(in))
	length, lines, across := w, h, w
	if step == w {
		length, lines, across = h, w, 1
	}
	places := make([]int, 0, length)
	for line := range lines {
		row, queue := in[line*across:], places
		for k := range length + reach {
			if k < length {
				for len(queue) > 0 && row[queue[len(queue)-1]*step] <= row[k*step] {
					queue = queue[:len(queue)-1]
				}
				queue = append(queue, k)
			}
			if k < reach {
				continue
			}
			if queue[0] < k-2*reach {
				queue = queue[1:]
			}
			out[line*across+(k-reach)*step] = row[queue[0]*step]
		}
	}
	return out
}

func (f *whiteField) at(x, y int) float64 {
	return f.light[min(y/f.cell, f.h-1)*f.w+min(x/f.cell, f.w-1)]
}

// findSpots returns the dark round areas.
func findSpots(p *picture, white *whiteField) []spot {
	dark := make([]bool, p.w*p.h)
	for y := range p.h {
		row := dark[y*p.w : (y+1)*p.w]
		for x := range row {
			row[x] = p.luminance(y*p.w+x) < 0.5*white.at(x, y)
		}
	}
	const smallest, largestShare = 40, 0.01
	var spots []spot
	for _, set := range connected(dark, p.w, p.h) {
		if len(set) < smallest || float64(len(set)) > largestShare*float64(len(dark)) {
			continue
		}
		if s, ok := spotOf(p, set, white); ok {
			spots = append(spots, s)
		}
	}
	return spots
}

// spotOf judges a dark area: filled up it must be an ellipse, and what it
// encloses must be nothing or a hole in its middle.
func spotOf(p *picture, set []int32, white *whiteField) (spot, bool) {
	outer, hole := enclosed(set, p.w)
	e := momentsOfPixels(outer, p.w)
	long, short := e.axes()
	const roundest, smallestRadius = 0.5, 3.0
	if short < roundest*long || short < 2*smallestRadius {
		return spot{}, false
	}
	share := float64(len(hole)) / float64(len(outer))
	const least, most, noHole = 0.05, 0.32, 0.02
	switch {
	case share < noHole:
	case share < least || share > most:
		return spot{}, false
	default:
		const centred = 0.2
		if e.radius(momentsOfPixels(hole, p.w).centre) > centred {
			return spot{}, false
		}
	}
	s, ok := outlined(p, e, white)
	s.hole = share >= noHole
	return s, ok
}

// enclosed returns the pixels of a set together with those it encloses, and the
// latter alone.
func enclosed(set []int32, w int) (outer, hole []int32) {
	x0, y0, x1, y1 := math.MaxInt, math.MaxInt, 0, 0
	for _, i := range set {
		x, y := int(i)%w, int(i)/w
		x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
	}
	bw, bh := x1-x0+1, y1-y0+1
	open := make([]bool, bw*bh)
	for i := range open {
		open[i] = true
	}
	for _, i := range set {
		open[(int(i)/w-y0)*bw+int(i)%w-x0] = false
	}
	for _, part := range connected(open, bw, bh) {
		if slices.ContainsFunc(part, func(i int32) bool {
			x, y := int(i)%bw, int(i)/bw
			return x == 0 || y == 0 || x == bw-1 || y == bh-1
		}) {
			continue
		}
		for _, i := range part {
			hole = append(hole, int32((int(i)/bw+y0)*w+int(i)%bw+x0))
		}
	}
	return append(slices.Clone(set), hole...), hole
}

// outlined measures the ellipse anew, to a fraction of a pixel: along rays from
// its middle, where the light passes half way from black to white.
func outlined(p *picture, e ellipse, white *whiteField) (spot, bool) {
	const rays, inside, outside = 48, 0.7, 1.45 // in radii; the hole ends at 0.4
	var outline []point
	var widths []float64
	for k := range rays {
		angle := 2 * math.Pi * float64(k) / rays
		dir := point{math.Cos(angle), math.Sin(angle)}
		radius := 1 / e.radius(e.centre.plus(dir))
		steps := int(math.Ceil((outside - inside) * radius / 0.5))
		profile := make([]float64, steps+1)
		for s := range profile {
			profile[s] = p.lightAt(e.centre.plus(dir.times(radius * (inside + (outside-inside)*float64(s)/float64(steps)))))
		}
		at, width, ok := crossing(profile)
		if !ok {
			continue
		}
		step := (outside - inside) * radius / float64(steps)
		outline = append(outline, e.centre.plus(dir.times(inside*radius+at*step)))
		widths = append(widths, width*step)
	}
	if len(outline) < rays*3/4 {
		return spot{}, false
	}
	fit, ok := ellipseThrough(outline)
	if !ok {
		return spot{}, false
	}
	off := make([]float64, len(outline))
	for i, q := range outline {
		off[i] = math.Abs(fit.radius(q) - 1)
	}
	const roundness = 0.06
	if quantile(off, 0.8) > roundness {
		return spot{}, false
	}
	det := fit.sxx*fit.syy - fit.sxy*fit.sxy
	return spot{ellipse: fit, area: 4 * math.Pi * math.Sqrt(det), edge: median(widths)}, true
}

// crossing returns where a profile that runs from dark to bright passes half
// way, and how far it takes from a fifth to four fifths, in steps; false when
// the contrast is weak.
func crossing(profile []float64) (at, width float64, ok bool) {
	dark := min(profile[0], profile[1])
	bright := quantile(slices.Clone(profile[len(profile)/2:]), 0.7)
	const leastContrast = 2.0
	if bright < leastContrast*dark || bright <= 0 {
		return 0, 0, false
	}
	pass := func(share float64) float64 {
		level := dark + share*(bright-dark)
		for s := 1; s < len(profile); s++ {
			if profile[s] >= level {
				return float64(s) - (profile[s]-level)/max(profile[s]-profile[s-1], 1e-12)
			}
		}
		return float64(len(profile) - 1)
	}
	return pass(0.5), pass(0.8) - pass(0.2), true
}

// momentsOfPixels returns the centre and second moments of pixels of a picture
// w wide.
func momentsOfPixels(pixels []int32, w int) ellipse {
	var e ellipse
	at := func(i int32) point { return point{float64(int(i)%w) + 0.5, float64(int(i)/w) + 0.5} }
	for _, i := range pixels {
		e.centre = e.centre.plus(at(i))
	}
	n := float64(len(pixels))
	e.centre = e.centre.times(1 / n)
	for _, i := range pixels {
		d := at(i).minus(e.centre)
		e.sxx += d.x * d.x
		e.sxy += d.x * d.y
		e.syy += d.y * d.y
	}
	const pixel = 1.0 / 12 // a pixel's own second moment keeps thin shapes finite
	e.sxx, e.sxy, e.syy = e.sxx/n+pixel, e.sxy/n, e.syy/n+pixel
	return e
}

// ellipseThrough returns the ellipse whose outline passes the points, taken at
// even angles, by the moments of the polygon they make.
func ellipseThrough(outline []point) (ellipse, bool) {
	var area float64
	var first point
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		c := p.x*q.y - q.x*p.y
		area += c / 2
		first = first.plus(p.plus(q).times(c / 6))
	}
	if area <= 0 {
		return ellipse{}, false
	}
	e := ellipse{centre: first.times(1 / area)}
	for i, p := range outline {
		p, q := p.minus(e.centre), outline[(i+1)%len(outline)].minus(e.centre)
		c := (p.x*q.y - q.x*p.y) / (12 * area)
		e.sxx += c * (p.x*p.x + p.x*q.x + q.x*q.x)
		e.syy += c * (p.y*p.y + p.y*q.y + q.y*q.y)
		e.sxy += c * (p.x*p.y + (p.x*q.y+q.x*p.y)/2 + q.x*q.y) // (x_i y_i + ½ cross terms + x_j y_j)
	}
	return e, e.sxx*e.syy-e.sxy*e.sxy > 0
}
