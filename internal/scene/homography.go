package scene

import "math"

// Point is a place: in mm on the card, from its middle to the right and down, or
// in pixels on the picture, from its top left corner.
type Point struct{ X, Y float64 }

// Homography maps points of one plane to another, as a 3 x 3 matrix on
// homogeneous coordinates.
type Homography [3][3]float64

// Map returns where a point goes.
func (h Homography) Map(p Point) Point {
	w := h[2][0]*p.X + h[2][1]*p.Y + h[2][2]
	return Point{
		(h[0][0]*p.X + h[0][1]*p.Y + h[0][2]) / w,
		(h[1][0]*p.X + h[1][1]*p.Y + h[1][2]) / w,
	}
}

// Inverse returns the way back.
func (h Homography) Inverse() Homography {
	var out Homography
	for i := range 3 {
		for j := range 3 {
			a, b := (j+1)%3, (j+2)%3
			c, d := (i+1)%3, (i+2)%3
			out[i][j] = h[a][c]*h[b][d] - h[a][d]*h[b][c] // the adjugate serves: scale is free
		}
	}
	return out
}

// view returns the way from card to picture for a camera that hangs above the
// table, turned by the rotation and tilted back by the tilt, so near that the
// what is shown, given by its corners, fills the given share of the picture.
func view(rotationDegrees, tiltDegrees float64, shown [4]Point, picture Point, share float64) Homography {
	sin, cos := math.Sincos(rotationDegrees * math.Pi / 180)
	tiltSin, tiltCos := math.Sincos(tiltDegrees * math.Pi / 180)
	distance := 2.2 * math.Hypot(shown[2].X-shown[0].X, shown[2].Y-shown[0].Y)
	// Turned in the plane, then tilted about the horizontal axis; the far edge of
	// the card is the upper one.
	h := Homography{
		{distance * cos, -distance * sin, 0},
		{distance * sin * tiltCos, distance * cos * tiltCos, 0},
		{-sin * tiltSin, -cos * tiltSin, distance},
	}
	low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, c := range shown {
		p := h.Map(c)
		low = Point{min(low.X, p.X), min(low.Y, p.Y)}
		high = Point{max(high.X, p.X), max(high.Y, p.Y)}
	}
	scale := share * min(picture.X/(high.X-low.X), picture.Y/(high.Y-low.Y))
	middle := Point{(low.X + high.X) / 2, (low.Y + high.Y) / 2}
	for j := range 3 {
		h[0][j] = scale*(h[0][j]-middle.X*h[2][j]) + picture.X/2*h[2][j]
		h[1][j] = scale*(h[1][j]-middle.Y*h[2][j]) + picture.Y/2*h[2][j]
	}
	return h
}

// view shows what has these corners, so large that the card in it fills what the
// options ask for.
func (o Options) view(shown [4]Point, card, picture Point) Homography {
	const usual, most = 0.86, 0.985
	h := view(o.RotationDegrees, o.TiltDegrees, shown, picture, usual)
	if o.Fills == 0 {
		return h
	}
	share := usual * math.Sqrt(o.Fills*picture.X*picture.Y/h.area(card))
	return view(o.RotationDegrees, o.TiltDegrees, shown, picture, min(share, most))
}

// area is how much of the picture a card of the given size covers.
func (h Homography) area(card Point) float64 {
	sum := 0.0
	c := corners(card)
	for i := range c {
		p, q := h.Map(c[i]), h.Map(c[(i+1)%len(c)])
		sum += p.X*q.Y - q.X*p.Y
	}
	return math.Abs(sum) / 2
}

// corners returns the corners of a card of the given size, clockwise from the
// top left.
func corners(size Point) [4]Point {
	x, y := size.X/2, size.Y/2
	return [4]Point{{-x, -y}, {x, -y}, {x, y}, {-x, y}}
}
