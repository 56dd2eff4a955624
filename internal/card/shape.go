package card

import "math"

// Point is a place on the card, or a width and height, in mm.
type Point struct{ X, Y float64 }

// Shape is a printed area: a Ring or a Rect.
type Shape interface {
	// InsideMM returns how far inside the area a point lies, in mm; below 0 it
	// lies outside.
	InsideMM(p Point) float64
	// Bounds returns the upright rectangle around the area.
	Bounds() Rect
}

// Ring is the area between two circles; without an inner one it is a disc.
type Ring struct {
	Centre                       Point
	OuterRadiusMM, InnerRadiusMM float64
}

// InsideMM implements Shape.
func (r Ring) InsideMM(p Point) float64 {
	x, y := p.X-r.Centre.X, p.Y-r.Centre.Y
	distance := math.Sqrt(x*x + y*y)
	if r.InnerRadiusMM == 0 {
		return r.OuterRadiusMM - distance
	}
	return min(r.OuterRadiusMM-distance, distance-r.InnerRadiusMM)
}

// Bounds implements Shape.
func (r Ring) Bounds() Rect { return around(r.Centre, 2*r.OuterRadiusMM, 2*r.OuterRadiusMM) }

// Rect is an upright rectangle from its top left corner to its bottom right one.
type Rect struct{ Min, Max Point }

// InsideMM implements Shape.
func (r Rect) InsideMM(p Point) float64 {
	return min(p.X-r.Min.X, r.Max.X-p.X, p.Y-r.Min.Y, r.Max.Y-p.Y)
}

// Bounds implements Shape.
func (r Rect) Bounds() Rect { return r }

// Centre returns the middle.
func (r Rect) Centre() Point { return Point{(r.Min.X + r.Max.X) / 2, (r.Min.Y + r.Max.Y) / 2} }

// SizeMM returns the width and height.
func (r Rect) SizeMM() Point { return Point{r.Max.X - r.Min.X, r.Max.Y - r.Min.Y} }

// around returns the rectangle of a size around its middle.
func around(centre Point, widthMM, heightMM float64) Rect {
	return Rect{
		Point{centre.X - widthMM/2, centre.Y - heightMM/2},
		Point{centre.X + widthMM/2, centre.Y + heightMM/2},
	}
}

// at returns the rectangle of a size from its top left corner.
func at(x, y, widthMM, heightMM float64) Rect {
	return Rect{Point{x, y}, Point{x + widthMM, y + heightMM}}
}
