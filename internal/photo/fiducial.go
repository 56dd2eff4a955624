package photo

import (
	"math"
	"slices"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// spot is a dark round area on white, which may be a fiducial of a printed card.
type spot struct {
	plane.Ellipse
	area float64
	hole bool
	// edge is how far, in pixels, the light takes from dark to bright across the
	// outline (see edgeWidth) in the direction in which that is farthest.
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
func newWhiteField(p *picture.Picture) *whiteField {
	const cell = 4
	f := &whiteField{w: max(1, p.W/cell), h: max(1, p.H/cell), cell: cell}
	f.light = make([]float64, f.w*f.h)
	sums := make([]float32, f.w)
	for y := range f.h {
		clear(sums)
		for _, light := range p.Light {
			for line := y * cell; line < min(p.H, (y+1)*cell); line++ {
				row := light[line*p.W : (line+1)*p.W]
				for x := range sums {
					if v := row[min(len(row), x*cell):]; len(v) >= cell {
						sums[x] += v[0] + v[1] + v[2] + v[3]
					}
				}
			}
		}
		for x, v := range sums {
			f.light[y*f.w+x] = float64(v) / (channels * cell * cell)
		}
	}
	reach := max(4, max(f.w, f.h)/22)
	f.light = widest(f.light, f.w, f.h, reach, 1)
	f.light = widest(f.light, f.w, f.h, reach, f.w)
	return f
}

// widest is the maximum over a window along a row (step 1) or a column (step w).
//
// The maxima of two neighbouring windows are that of one twice as wide; two that
// overlap make up the rest.
func widest(in []float64, w, h, reach, step int) []float64 {
	out := make([]float64, len(in))
	length, lines, across := w, h, w
	if step == w {
		length, lines, across = h, w, 1
	}
	wide := make([]float64, length+2*reach) // no light beyond the ends
	for line := range lines {
		row := in[line*across:]
		clear(wide)
		for k := range length {
			wide[reach+k] = row[k*step]
		}
		size := 1
		for ; 2*size <= 2*reach+1; size *= 2 {
			for k, v := range wide[size:] {
				if v > wide[k] {
					wide[k] = v
				}
			}
		}
		for k := range length {
			out[line*across+k*step] = max(wide[k], wide[k+2*reach+1-size])
		}
	}
	return out
}

func (f *whiteField) at(x, y int) float64 {
	return f.light[min(y/f.cell, f.h-1)*f.w+min(x/f.cell, f.w-1)]
}

// findSpots returns the dark round areas.
func findSpots(p *picture.Picture, white *whiteField) []spot {
	dark := make([]bool, p.W*p.H)
	for y := range p.H {
		row := dark[y*p.W:][:p.W]
		reds, greens, blues := p.Light[red][y*p.W:][:p.W], p.Light[green][y*p.W:][:p.W], p.Light[blue][y*p.W:][:p.W]
		for x := 0; x < p.W; x += white.cell {
			half := float32(0.5 * channels * white.at(x, y))
			for i := x; i < min(x+white.cell, len(row)); i++ {
				row[i] = reds[i]+greens[i]+blues[i] < half
			}
		}
	}
	const smallest, largestShare = 40, 0.01
	var spots []spot
	for _, set := range connected(dark, p.W, p.H, smallest, int(largestShare*float64(len(dark)))) {
		if s, ok := spotOf(p, set, white); ok {
			spots = append(spots, s)
		}
	}
	return spots
}

// spotOf judges a dark area: filled up it must be an ellipse, and what it
// encloses must be nothing or a hole in its middle.
func spotOf(p *picture.Picture, set []int32, white *whiteField) (spot, bool) {
	outer, hole := enclosed(set, p.W)
	e := plane.MomentsOfPixels(outer, p.W)
	long, short := e.Axes()
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
		if e.Radius(plane.MomentsOfPixels(hole, p.W).Centre) > centred {
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
	x0, y0, x1, y1 := extentOf(set, w)
	bw, bh := x1-x0+1, y1-y0+1
	covered := make([]bool, bw*bh)
	row := int32(w)
	for _, i := range set {
		y := i / row
		covered[(int(y)-y0)*bw+int(i-y*row)-x0] = true
	}
	for _, r := range holes(covered, bw, bh) {
		first := int32((int(r.y)+y0)*w + x0)
		for x := r.from; x < r.to; x++ {
			hole = append(hole, first+x)
		}
	}
	return append(slices.Clone(set), hole...), hole
}

// outlined measures the ellipse anew, to a fraction of a pixel: along rays from
// its middle, where the light passes half way from black to white.
func outlined(p *picture.Picture, e plane.Ellipse, white *whiteField) (spot, bool) {
	const rays, inside, outside = 48, 0.7, 1.45 // in radii; the hole ends at 0.4
	var outline, ways []plane.Point
	var widths []float64
	for k := range rays {
		angle := 2 * math.Pi * float64(k) / rays
		dir := plane.Point{X: math.Cos(angle), Y: math.Sin(angle)}
		radius := 1 / e.Radius(e.Centre.Plus(dir))
		steps := int(math.Ceil((outside - inside) * radius / 0.5))
		profile := make([]float64, steps+1)
		for s := range profile {
			profile[s] = lightAt(p, e.Centre.Plus(dir.Times(radius*(inside+(outside-inside)*float64(s)/float64(steps)))))
		}
		at, width, ok := crossing(profile)
		if !ok {
			continue
		}
		step := (outside - inside) * radius / float64(steps)
		outline = append(outline, e.Centre.Plus(dir.Times(inside*radius+at*step)))
		ways, widths = append(ways, dir), append(widths, width*step)
	}
	if len(outline) < rays*3/4 {
		return spot{}, false
	}
	fit, ok := plane.EllipseThrough(outline)
	if !ok {
		return spot{}, false
	}
	off := make([]float64, len(outline))
	for i, q := range outline {
		off[i] = math.Abs(fit.Radius(q) - 1)
	}
	const roundness = 0.06
	if rank.Quantile(off, 0.8) > roundness {
		return spot{}, false
	}
	det := fit.SXX*fit.SYY - fit.SXY*fit.SXY
	return spot{Ellipse: fit, area: 4 * math.Pi * math.Sqrt(det), edge: widestEdge(ways, widths)}, true
}

// crossing returns where a profile that runs from dark to bright passes half
// way, and how far it takes from a fifth to four fifths, in steps; false when
// the contrast is weak.
func crossing(profile []float64) (at, width float64, ok bool) {
	dark := min(profile[0], profile[1])
	bright := rank.Quantile(slices.Clone(profile[len(profile)/2:]), 0.7)
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
