package plane

import "math"

// point is a place in a picture, in pixels, x to the right and y down.
type Point struct{ X, Y float64 }

func (p Point) Plus(q Point) Point        { return Point{p.X + q.X, p.Y + q.Y} }
func (p Point) Minus(q Point) Point       { return Point{p.X - q.X, p.Y - q.Y} }
func (p Point) Times(f float64) Point     { return Point{p.X * f, p.Y * f} }
func (p Point) Length() float64           { return math.Hypot(p.X, p.Y) }
func cross(o, a, b Point) float64         { return (a.X-o.X)*(b.Y-o.Y) - (a.Y-o.Y)*(b.X-o.X) }
func Between(a, b Point, t float64) Point { return a.Plus(b.Minus(a).Times(t)) }
