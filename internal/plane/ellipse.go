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

// RadiusSquared returns a function of points that is the square of Radius; what the
// points have in common is computed once.
func (e Ellipse) RadiusSquared() func(p Point) float64 {
	share := 0.25 / (e.SXX*e.SYY - e.SXY*e.SXY)
	xx, xy, yy := share*e.SYY, -2*share*e.SXY, share*e.SXX
	return func(p Point) float64 {
		d := p.Minus(e.Centre)
		return max(0, xx*d.X*d.X+xy*d.X*d.Y+yy*d.Y*d.Y)
	}
}

// Axes returns the full lengths of the ellipse's axes, the longer first.
func (e Ellipse) Axes() (long, short float64) {
	mean, half := (e.SXX+e.SYY)/2, math.Hypot((e.SXX-e.SYY)/2, e.SXY)
	return 4 * math.Sqrt(mean+half), 4 * math.Sqrt(max(0, mean-half))
}

// MomentsOfPixels returns the centre and second moments of pixels of a picture
// w wide.
func MomentsOfPixels(pixels []int32, w int) Ellipse {
	// Whole numbers, counted from the first pixel, are exact and small.
	var x, y, xx, xy, yy int
	row := int32(w)
	firstY := pixels[0] / row
	firstX := pixels[0] - firstY*row
	for _, i := range pixels {
		line := i / row
		dx, dy := int(i-line*row-firstX), int(line-firstY)
		x, y = x+dx, y+dy
		xx, xy, yy = xx+dx*dx, xy+dx*dy, yy+dy*dy
	}
	n := float64(len(pixels))
	mean := Point{float64(x) / n, float64(y) / n}
	const pixel = 1.0 / 12 // a pixel's own second moment keeps thin shapes finite
	return Ellipse{
		Centre: mean.Plus(Point{float64(firstX) + 0.5, float64(firstY) + 0.5}),
		SXX:    float64(xx)/n - mean.X*mean.X + pixel,
		SXY:    float64(xy)/n - mean.X*mean.Y,
		SYY:    float64(yy)/n - mean.Y*mean.Y + pixel,
	}
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
