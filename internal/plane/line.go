package plane

import "math"

// Line is the set of points through At along the unit vector Dir.
type Line struct{ At, Dir Point }

// FitLine is the total least squares line through the points: their centroid
// and the main axis of their scatter.
func FitLine(points []Point) Line {
	var centre Point
	for _, p := range points {
		centre = centre.Plus(p)
	}
	centre = centre.Times(1 / float64(len(points)))
	var sxx, sxy, syy float64
	for _, p := range points {
		d := p.Minus(centre)
		sxx += d.X * d.X
		sxy += d.X * d.Y
		syy += d.Y * d.Y
	}
	angle := math.Atan2(2*sxy, sxx-syy) / 2
	return Line{centre, Point{math.Cos(angle), math.Sin(angle)}}
}

// Distance is how far a point lies off the line.
func (l Line) Distance(p Point) float64 {
	d := p.Minus(l.At)
	return math.Abs(d.X*l.Dir.Y - d.Y*l.Dir.X)
}

// Meet returns where two lines cross, false when they are near parallel.
func (l Line) Meet(m Line) (Point, bool) {
	det := l.Dir.X*m.Dir.Y - l.Dir.Y*m.Dir.X
	if math.Abs(det) < 0.1 {
		return Point{}, false
	}
	d := m.At.Minus(l.At)
	t := (d.X*m.Dir.Y - d.Y*m.Dir.X) / det
	return l.At.Plus(l.Dir.Times(t)), true
}
