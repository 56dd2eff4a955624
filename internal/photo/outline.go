package photo

import (
	"math"

	"setshade/internal/plane"
	"setshade/internal/rank"
)

// A drop ends where the picture has an edge, and an edge of the picture is as sharp as
// the picture is: it lies within the width that an edge of the card or of its print has. A
// shadow only scales the card and is soft on its far side, as is a change of the light.
// The outline is looked for on rays from within the drop. Along a ray,
//
//	E(r) = f(r+a) - f(r-a) - (f(r+3a) - f(r+a) + f(r-a) - f(r-3a)) / 2
//
// is the step of an edge that lies within r ± a, and 0 where f is straight over r ± 3a; f
// are the brightness and, times it, the two chromaticities. A drop as white as its card has edges
// too: its flank is lighter on one side and darker on the other, and it touches its own
// shadow.
const (
	rays = 64
	// leastSharp is the share of rays on which an outline must have a sharp edge.
	leastSharp = 0.6
)

// ring is a closed line around a place.
type ring struct {
	centre plane.Point
	radius [rays]float64
	// sharp is the share of the rays with a sharp edge there, print left out.
	sharp float64
}

var rayWay = func() (way [rays]plane.Point) {
	for k := range way {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / rays)
		way[k] = plane.Point{X: cos, Y: sin}
	}
	return way
}()

// outline looks for the drop of a seed: around its middle, and along a long one, which may
// be a drop and its shadow.
func (s *segmenter) outline(seed []int32) (blob, bool) {
	const stretched = 1.35
	core := plane.MomentsOfPixels(seed, s.t.w)
	long, short := core.Axes()
	starts := []plane.Point{core.Centre}
	if long > stretched*short {
		turn := math.Atan2(2*core.SXY, core.SXX-core.SYY) / 2
		sin, cos := math.Sincos(turn)
		for _, share := range [4]float64{-0.56, -0.28, 0.28, 0.56} {
			starts = append(starts, core.Centre.Plus(plane.Point{X: cos, Y: sin}.Times(share*long/2)))
		}
	}
	const part = 0.15 // of a drop's area: less is a splash
	if float64(len(seed)) > part*math.Pi*s.usual*s.usual {
		if b, ok := s.around(starts, s.usual, 0.6, 1.6, leastSharp); ok {
			return b, true
		}
	}
	return s.around(starts, min(math.Sqrt(float64(len(seed))/math.Pi), short/2), 0.35, 2.2, leastSharp)
}

// around returns the drop of the sharpest outline about one of the places, of a radius
// between shares of the usual one, all in pixels looked at.
func (s *segmenter) around(starts []plane.Point, usual, least, most, enough float64) (blob, bool) {
	var best ring
	if usual == 0 {
		return blob{}, false
	}
	for _, at := range starts {
		r := s.ringAround(at, least*usual, most*usual)
		for range 3 { // rays meet the outline squarely from its middle alone
			middle, size := r.middle()
			moved := middle.Minus(r.centre).Length()
			r = s.ringAround(middle, 0.55*size, 1.5*size)
			if moved < 0.06*size {
				break
			}
		}
		if r.sharp > best.sharp {
			best = r
		}
	}
	if best.sharp < enough {
		return blob{}, false
	}
	s.sharpen(&best, s.step(best.radius[0]))
	return s.blobOf(&best)
}

// step is the a of an edge: at least the blur of the averaged pixels, at most a part of a
// drop of that radius.
func (s *segmenter) step(radius float64) float64 {
	return min(max(2, s.edgePx)/float64(s.t.pace), max(1, radius/4))
}

// ringAround is the line of the sharpest edges between two radii that changes its radius
// little from ray to ray: the best path through rays and radii (Bellman 1957, Dynamic
// Programming), gone round twice so that it closes.
func (s *segmenter) ringAround(centre plane.Point, from, to float64) ring {
	r := ring{centre: centre}
	a := s.step(2 * from)
	from = max(from, 1)
	n := max(3, int(to-from)+1)
	lead := int(math.Ceil(3 * a))
	steps := make([]float64, rays*n)   // E, on each ray
	changes := make([]float64, rays*n) // over a wider stretch, an edge or not
	unknown := make([]bool, rays*n)
	profile := make([][3]float64, n+2*lead)
	inside := make([]bool, len(profile))
	most := make([]float64, rays)
	for k, way := range rayWay {
		for i := range profile {
			profile[i], inside[i] = s.tintAt(centre.Plus(way.Times(from + float64(i-lead))))
		}
		for i := range n {
			at := float64(i + lead)
			unknown[k*n+i] = !inside[i] || !inside[i+lead] || !inside[i+2*lead]
			if unknown[k*n+i] {
				continue
			}
			var e, wide float64
			for c := range 3 {
				f := func(x float64) float64 {
					whole := min(int(x), len(profile)-2)
					return profile[whole][c] + (x-float64(whole))*(profile[whole+1][c]-profile[whole][c])
				}
				in3, in1, out1, out3 := f(at-3*a), f(at-a), f(at+a), f(at+3*a)
				step := out1 - in1 - (out3-out1+in1-in3)/2
				e, wide = e+step*step, wide+(out3-in3)*(out3-in3)
			}
			steps[k*n+i], changes[k*n+i] = math.Sqrt(e), math.Sqrt(wide)
			most[k] = max(most[k], steps[k*n+i])
		}
	}
	noise := 4 * math.Sqrt(s.bright*s.bright+s.redGreen*s.redGreen+s.blueYellow*s.blueYellow) / 2
	full := max(rank.Median(most), noise)
	r.follow(steps, n, full)
	seen, sharp := 0, 0
	const clear, narrow = 0.35, 0.3
	for k := range r.radius {
		at := k*n + int(r.radius[k]+0.5)
		if !unknown[at] {
			seen++
			if steps[at] > max(clear*full, noise) && steps[at] > narrow*changes[at] {
				sharp++
			}
		}
		r.radius[k] += from
	}
	const leastSeen = 0.3
	if float64(seen) > leastSeen*rays {
		r.sharp = float64(sharp) / float64(seen)
	}
	return r
}

// follow sets the radii, as indices of the n radii looked at, to the best path.
func (r *ring) follow(steps []float64, n int, full float64) {
	// Of two edges as sharp the outer one is the drop's: white wax has edges between its
	// lit flank and its shaded one too.
	const turns, outward = 2, 0.2
	// The line of half a drop, seen from its own middle, changes by an eighth of its
	// radius from ray to ray.
	farthest := max(3, n/9)
	stiff := 0.27 / float64(farthest*farthest)
	came := make([]int8, turns*rays*n)
	gain, next := make([]float64, n), make([]float64, n)
	for k := range turns * rays {
		for i := range n {
			best, from := math.Inf(-1), 0
			for d := -farthest; d <= farthest; d++ {
				if j := i + d; j >= 0 && j < n {
					if v := gain[j] - stiff*float64(d*d); v > best {
						best, from = v, d
					}
				}
			}
			next[i], came[k*n+i] = best+min(1, steps[k%rays*n+i]/full)*(1+outward*float64(i)/float64(n)), int8(from)
		}
		gain, next = next, gain
	}
	at := 0
	for i, v := range gain {
		if v > gain[at] {
			at = i
		}
	}
	for k := turns*rays - 1; k >= rays/2; k-- {
		if k < turns*rays-rays/2 {
			r.radius[k%rays] = float64(at)
		}
		at += int(came[k*n+at])
	}
}

// sharpen moves each radius to where the light changes most within a step of it, over a
// pixel or two, and evens out what that leaves from ray to ray.
func (s *segmenter) sharpen(r *ring, a float64) {
	var steep [rays]float64
	for k, way := range rayWay {
		best := -1.0
		for d := -a; d <= a; d += 0.5 {
			out, ok := s.tintAt(r.centre.Plus(way.Times(r.radius[k] + d + 1)))
			in, also := s.tintAt(r.centre.Plus(way.Times(r.radius[k] + d - 1)))
			if v := distance(out, in); ok && also && v > best {
				best, steep[k] = v, d
			}
		}
	}
	for k := range r.radius {
		r.radius[k] += (steep[(k+rays-1)%rays] + 2*steep[k] + steep[(k+1)%rays]) / 4
	}
}

func distance(a, b [3]float64) float64 {
	x, y, z := a[0]-b[0], a[1]-b[1], a[2]-b[2]
	return math.Sqrt(x*x + y*y + z*z)
}

// points is the line, in pixels looked at.
func (r *ring) points() []plane.Point {
	line := make([]plane.Point, rays)
	for k, way := range rayWay {
		line[k] = r.centre.Plus(way.Times(r.radius[k]))
	}
	return line
}

// middle is the middle of the area within the line, and the radius of a circle as large.
func (r *ring) middle() (plane.Point, float64) {
	var sum plane.Point
	area := 0.0
	for k := range r.radius {
		p, q := rayWay[k].Times(r.radius[k]), rayWay[(k+1)%rays].Times(r.radius[(k+1)%rays])
		part := (p.X*q.Y - p.Y*q.X) / 2
		area += part
		sum = sum.Plus(p.Plus(q).Times(part / 3))
	}
	return r.centre.Plus(sum.Times(1 / area)), math.Sqrt(area / math.Pi)
}

// tintAt is the brightness and chromaticity between the pixels looked at, and whether
// they are bare of print.
func (s *segmenter) tintAt(p plane.Point) (v [3]float64, inside bool) {
	x, y := p.X-0.5, p.Y-0.5
	if !(x >= 0 && y >= 0 && x < float64(s.t.w-1) && y < float64(s.t.h-1)) {
		return v, false
	}
	i := int(y)*s.t.w + int(x)
	j := i + s.t.w
	if !s.t.inside[i] || !s.t.inside[i+1] || !s.t.inside[j] || !s.t.inside[j+1] {
		return v, false
	}
	fx, fy := float32(x-math.Floor(x)), float32(y-math.Floor(y))
	for c, of := range [3][]float32{s.t.bright, s.t.redGreen, s.t.blueYellow} {
		top, low := of[i]+fx*(of[i+1]-of[i]), of[j]+fx*(of[j+1]-of[j])
		v[c] = float64(top + fy*(low-top))
	}
	// Linear in the share of wax that a pixel holds; a shadow changes the brightness, so
	// that its edge says less than one of the colour.
	const brightness = 0.5
	v[1], v[2], v[0] = v[1]*v[0], v[2]*v[0], brightness*v[0]
	return v, true
}

// blobOf makes the drop of its outline, in pixels of the flattened card.
func (s *segmenter) blobOf(r *ring) (blob, bool) {
	pace := float64(s.t.pace)
	middle := plane.Point{X: (pace - 1) / 2, Y: (pace - 1) / 2} // of the pixels that one stands for
	line := r.points()
	for k, p := range line {
		line[k] = p.Times(pace).Minus(middle)
	}
	b := blob{hull: plane.ConvexHull(line)}
	b.pixels = pixelsIn(b.hull, s.f.w, s.f.h)
	if len(b.pixels) == 0 {
		return b, false
	}
	b.solid = min(1, math.Abs(plane.PolygonArea(line)/plane.PolygonArea(b.hull)))
	b.Ellipse = plane.MomentsOfPixels(b.pixels, s.f.w)
	const leastSolid = 0.6
	long, short := b.Axes()
	return b, b.solid > leastSolid && long < s.longest*short
}

// pixelsIn lists the pixels of a picture of w by h within an outline.
func pixelsIn(outline []plane.Point, w, h int) []int32 {
	pixels := make([]int32, 0, int(math.Abs(plane.PolygonArea(outline)))+h)
	plane.EachRow(outline, w, h, func(y, from, to int) {
		for x := from; x < to; x++ {
			pixels = append(pixels, int32(y*w+x))
		}
	})
	return pixels
}
