package photo

import (
	"cmp"
	"math"
	"slices"
)

// point is a place in a picture, in pixels, x to the right and y down.
type point struct{ x, y float64 }

func (p point) plus(q point) point        { return point{p.x + q.x, p.y + q.y} }
func (p point) minus(q point) point       { return point{p.x - q.x, p.y - q.y} }
func (p point) times(f float64) point     { return point{p.x * f, p.y * f} }
func (p point) length() float64           { return math.Hypot(p.x, p.y) }
func cross(o, a, b point) float64         { return (a.x-o.x)*(b.y-o.y) - (a.y-o.y)*(b.x-o.x) }
func between(a, b point, t float64) point { return a.plus(b.minus(a).times(t)) }

// convexHull returns the corners of the convex hull, clockwise on the screen,
// by Andrew's monotone chain (Andrew 1979, Inf. Process. Lett. 9(5)).
func convexHull(points []point) []point {
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b point) int {
		return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y))
	})
	half := func(points []point) []point {
		var chain []point
		for _, p := range points {
			for len(chain) >= 2 && cross(chain[len(chain)-2], chain[len(chain)-1], p) <= 0 {
				chain = chain[:len(chain)-1]
			}
			chain = append(chain, p)
		}
		return chain[:max(0, len(chain)-1)]
	}
	upper := half(points)
	slices.Reverse(points)
	return append(upper, half(points)...)
}

// polygonArea is the area of a polygon, positive clockwise on the screen.
func polygonArea(corners []point) float64 {
	sum := 0.0
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		sum += p.x*q.y - q.x*p.y
	}
	return sum / 2
}

// spanAt returns where the horizontal line at height y lies inside a convex
// polygon; right < left when it doesn't.
func spanAt(corners []point, y float64) (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		if (p.y <= y) == (q.y <= y) {
			continue
		}
		x := p.x + (q.x-p.x)*(y-p.y)/(q.y-p.y)
		left, right = min(left, x), max(right, x)
	}
	return left, right
}

// eachRow calls f for every row of a w by h picture with the pixels from..to-1
// whose centres lie in the convex polygon.
func eachRow(corners []point, w, h int, f func(y, from, to int)) {
	for y := range h {
		left, right := spanAt(corners, float64(y)+0.5)
		if right < left {
			continue
		}
		from, to := max(0, int(math.Ceil(left-0.5))), min(w, int(math.Ceil(right-0.5)))
		if from < to {
			f(y, from, to)
		}
	}
}

// simplified drops the hull's least telling corners until n are left.
func simplified(hull []point, n int) []point {
	hull = slices.Clone(hull)
	for len(hull) > n {
		least, at := math.Inf(1), 0
		for i, p := range hull {
			a, b := hull[(i+len(hull)-1)%len(hull)], hull[(i+1)%len(hull)]
			if area := math.Abs(cross(a, p, b)); area < least {
				least, at = area, i
			}
		}
		hull = slices.Delete(hull, at, at+1)
	}
	return hull
}

// largestQuad returns the four of the hull's corners that span the most area.
func largestQuad(hull []point) quad {
	hull = simplified(hull, 36)
	var best quad
	bestArea := -1.0
	n := len(hull)
	for a := 0; a < n; a++ {
		for c := a + 2; c < n; c++ {
			// Either side of the diagonal a-c the farthest corner wins.
			b, d := farthest(hull, a, c, a+1, c), farthest(hull, a, c, c+1, n+a)
			q := quad{hull[a], hull[b], hull[c], hull[d]}
			if area := math.Abs(polygonArea(q[:])); area > bestArea {
				best, bestArea = q, area
			}
		}
	}
	return best
}

func farthest(hull []point, a, c, from, to int) int {
	best, far := a, -1.0
	for i := from; i < to; i++ {
		k := i % len(hull)
		if d := math.Abs(cross(hull[a], hull[c], hull[k])); d > far {
			best, far = k, d
		}
	}
	return best
}

// line is the set of points through at along the unit vector dir.
type line struct{ at, dir point }

// fitLine is the total least squares line through the points: their centroid
// and the main axis of their scatter.
func fitLine(points []point) line {
	var centre point
	for _, p := range points {
		centre = centre.plus(p)
	}
	centre = centre.times(1 / float64(len(points)))
	var sxx, sxy, syy float64
	for _, p := range points {
		d := p.minus(centre)
		sxx += d.x * d.x
		sxy += d.x * d.y
		syy += d.y * d.y
	}
	angle := math.Atan2(2*sxy, sxx-syy) / 2
	return line{centre, point{math.Cos(angle), math.Sin(angle)}}
}

func (l line) distance(p point) float64 {
	d := p.minus(l.at)
	return math.Abs(d.x*l.dir.y - d.y*l.dir.x)
}

// meet returns where two lines cross, false when they are near parallel.
func (l line) meet(m line) (point, bool) {
	det := l.dir.x*m.dir.y - l.dir.y*m.dir.x
	if math.Abs(det) < 0.1 {
		return point{}, false
	}
	d := m.at.minus(l.at)
	t := (d.x*m.dir.y - d.y*m.dir.x) / det
	return l.at.plus(l.dir.times(t)), true
}

// quad holds the corners of the card: top left, top right, bottom right,
// bottom left of the upright picture.
type quad [4]point

// fromTopLeft orders the corners clockwise on the screen, beginning with the
// one nearest the upper left.
func (q quad) fromTopLeft() quad {
	if polygonArea(q[:]) < 0 {
		slices.Reverse(q[:])
	}
	first := 0
	for i, p := range q {
		if p.x+p.y < q[first].x+q[first].y {
			first = i
		}
	}
	return quad{q[first], q[(first+1)%4], q[(first+2)%4], q[(first+3)%4]}
}

func (q quad) area() float64 { return math.Abs(polygonArea(q[:])) }

func (q quad) times(f float64) quad {
	for i := range q {
		q[i] = q[i].times(f)
	}
	return q
}

// inset returns the quadrilateral moved inwards by a share of its width and
// height, in its own perspective.
func (q quad) inset(share float64) quad {
	m, lo, hi := squareTo(q), share, 1-share
	return quad{m.apply(point{lo, lo}), m.apply(point{hi, lo}), m.apply(point{hi, hi}), m.apply(point{lo, hi})}
}

// homography is a projective map of the plane, row by row.
type homography [9]float64

// squareTo maps the unit square onto the quadrilateral, (0,0) to its first
// corner and (1,0) to its second (Heckbert 1989, "Fundamentals of texture
// mapping and image warping", section 2.2.3; recalled from memory).
func squareTo(q quad) homography {
	s := q[0].minus(q[1]).plus(q[2]).minus(q[3])
	d1, d2 := q[1].minus(q[2]), q[3].minus(q[2])
	det := d1.x*d2.y - d2.x*d1.y
	g := (s.x*d2.y - d2.x*s.y) / det
	h := (d1.x*s.y - s.x*d1.y) / det
	return homography{
		q[1].x - q[0].x + g*q[1].x, q[3].x - q[0].x + h*q[3].x, q[0].x,
		q[1].y - q[0].y + g*q[1].y, q[3].y - q[0].y + h*q[3].y, q[0].y,
		g, h, 1,
	}
}

func (m homography) apply(p point) point {
	w := m[6]*p.x + m[7]*p.y + m[8]
	return point{(m[0]*p.x + m[1]*p.y + m[2]) / w, (m[3]*p.x + m[4]*p.y + m[5]) / w}
}

// inverse is the adjugate; its scale doesn't matter to a projective map.
func (m homography) inverse() homography {
	return homography{
		m[4]*m[8] - m[5]*m[7], m[2]*m[7] - m[1]*m[8], m[1]*m[5] - m[2]*m[4],
		m[5]*m[6] - m[3]*m[8], m[0]*m[8] - m[2]*m[6], m[2]*m[3] - m[0]*m[5],
		m[3]*m[7] - m[4]*m[6], m[1]*m[6] - m[0]*m[7], m[0]*m[4] - m[1]*m[3],
	}
}
