package plane

import "math"

// Ellipse has the centre and the second central moments of a set of pixels, and
// stands for the ellipse that has the same.
type Ellipse struct {
	Centre        Point
	SXX, SXY, SYY float64
}

// Radius returns how far out a point lies: 0 at the centre, 1 on the outline of
// the uniform ellipse with these moments.
func (e Ellipse) Radius(p Point) float64 {
	d := p.Minus(e.Centre)
	det := e.SXX*e.SYY - e.SXY*e.SXY
	m := (e.SYY*d.X*d.X - 2*e.SXY*d.X*d.Y + e.SXX*d.Y*d.Y) / det
	return math.Sqrt(max(0, m)) / 2
}

// Axes returns the full lengths of the ellipse's axes, the longer first.
func (e Ellipse) Axes() (long, short float64) {
	mean, half := (e.SXX+e.SYY)/2, math.Hypot((e.SXX-e.SYY)/2, e.SXY)
	return 4 * math.Sqrt(mean+half), 4 * math.Sqrt(max(0, mean-half))
}

// MomentsOfPixels returns the centre and second moments of pixels of a picture
// w wide.
func MomentsOfPixels(pixels []int32, w int) Ellipse {
	var e Ellipse
	at := func(i int32) Point { return Point{float64(int(i)%w) + 0.5, float64(int(i)/w) + 0.5} }
	for _, i := range pixels {
		e.Centre = e.Centre.Plus(at(i))
	}
	n := float64(len(pixels))
	e.Centre = e.Centre.Times(1 / n)
	for _, i := range pixels {
		d := at(i).Minus(e.Centre)
		e.SXX += d.X * d.X
		e.SXY += d.X * d.Y
		e.SYY += d.Y * d.Y
	}
	const pixel = 1.0 / 12 // a pixel's own second moment keeps thin shapes finite
	e.SXX, e.SXY, e.SYY = e.SXX/n+pixel, e.SXY/n, e.SYY/n+pixel
	return e
}

// EllipseThrough returns the ellipse whose outline passes the points, taken at
// even angles, by the moments of the polygon they make.
func EllipseThrough(outline []Point) (Ellipse, bool) {
	var area float64
	var first Point
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		c := p.X*q.Y - q.X*p.Y
		area += c / 2
		first = first.Plus(p.Plus(q).Times(c / 6))
	}
	if area <= 0 {
		return Ellipse{}, false
	}
	e := Ellipse{Centre: first.Times(1 / area)}
	for i, p := range outline {
		p, q := p.Minus(e.Centre), outline[(i+1)%len(outline)].Minus(e.Centre)
		c := (p.X*q.Y - q.X*p.Y) / (12 * area)
		e.SXX += c * (p.X*p.X + p.X*q.X + q.X*q.X)
		e.SYY += c * (p.Y*p.Y + p.Y*q.Y + q.Y*q.Y)
		e.SXY += c * (p.X*p.Y + (p.X*q.Y+q.X*p.Y)/2 + q.X*q.Y) // (x_i y_i + ½ cross terms + x_j y_j)
	}
	return e, e.SXX*e.SYY-e.SXY*e.SXY > 0
}
