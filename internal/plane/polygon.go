package plane

import (
	"cmp"
	"math"
	"slices"
)

// ConvexHull returns the corners of the convex hull, clockwise on the screen,
// by Andrew's monotone chain (Andrew 1979, Inf. Process. Lett. 9(5)).
func ConvexHull(points []Point) []Point {
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b Point) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
	})
	half := func(points []Point) []Point {
		var chain []Point
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

// PolygonArea is the area of a polygon, positive clockwise on the screen.
func PolygonArea(corners []Point) float64 {
	sum := 0.0
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		sum += p.X*q.Y - q.X*p.Y
	}
	return sum / 2
}

// spanAt returns where the horizontal line at height y lies inside a convex
// polygon; right < left when it doesn't.
func spanAt(corners []Point, y float64) (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		if (p.Y <= y) == (q.Y <= y) {
			continue
		}
		x := p.X + (q.X-p.X)*(y-p.Y)/(q.Y-p.Y)
		left, right = min(left, x), max(right, x)
	}
	return left, right
}

// EachRow calls f for every row of a w by h picture with the pixels from..to-1
// whose centres lie in the convex polygon.
func EachRow(corners []Point, w, h int, f func(y, from, to int)) {
	top, bottom := math.Inf(1), math.Inf(-1)
	for _, p := range corners {
		top, bottom = min(top, p.Y), max(bottom, p.Y)
	}
	for y := max(0, int(min(top, float64(h)))); y < h && float64(y) < bottom; y++ {
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
func simplified(hull []Point, n int) []Point {
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
