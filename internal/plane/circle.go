package plane

import (
	"math"

	"setshade/internal/rank"
)

// CircleThrough is the least squares circle of Kåsa 1976 ("A circle fitting
// procedure and its error analysis", IEEE Trans. Instrum. Meas. 25): the
// solution of
//
//	x² + y² = 2 a x + 2 b y + c
//
// which is linear in the centre (a, b) and in c = r² - a² - b². Points more than
// three median distances off are left out, twice.
func CircleThrough(points []Point) (centre Point, radius float64, ok bool) {
	const leastPoints, rounds = 12, 3
	used := points
	for range rounds {
		if len(used) < leastPoints {
			return centre, 0, false
		}
		var mean Point
		for _, p := range used {
			mean = mean.Plus(p.Times(1 / float64(len(used))))
		}
		var xx, xy, yy, xz, yz, zz float64
		for _, p := range used {
			q := p.Minus(mean)
			z := q.X*q.X + q.Y*q.Y
			xx, xy, yy = xx+q.X*q.X, xy+q.X*q.Y, yy+q.Y*q.Y
			xz, yz, zz = xz+q.X*z, yz+q.Y*z, zz+z
		}
		det := xx*yy - xy*xy
		if det < 1e-9*zz*zz/float64(len(used)) || det <= 0 {
			return centre, 0, false
		}
		a, b := (xz*yy-yz*xy)/(2*det), (yz*xx-xz*xy)/(2*det)
		centre = mean.Plus(Point{a, b})
		radius = math.Sqrt(a*a + b*b + zz/float64(len(used)))
		off := func(p Point) float64 { return math.Abs(p.Minus(centre).Length() - radius) }
		var all []float64
		for _, p := range points {
			all = append(all, off(p))
		}
		limit := max(0.1, 3*rank.Median(all))
		used = nil
		for _, p := range points {
			if off(p) <= limit {
				used = append(used, p)
			}
		}
	}
	return centre, radius, true
}
