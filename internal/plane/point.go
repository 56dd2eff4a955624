package plane

import "math"

// Point is a place, or the way from one place to another; in a picture x runs to the
// right and y down, in pixels.
type Point struct{ X, Y float64 }

// Plus returns p + q.
func (p Point) Plus(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Minus returns the way from q to p.
func (p Point) Minus(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Times returns p with both coordinates multiplied.
func (p Point) Times(f float64) Point { return Point{p.X * f, p.Y * f} }

// Length is the distance from the origin.
func (p Point) Length() float64 { return math.Sqrt(p.X*p.X + p.Y*p.Y) }

// Between returns the point a share t of the way from a to b.
func Between(a, b Point, t float64) Point { return a.Plus(b.Minus(a).Times(t)) }

// cross is twice the area of the triangle o, a, b, positive clockwise on the screen.
func cross(o, a, b Point) float64 { return (a.X-o.X)*(b.Y-o.Y) - (a.Y-o.Y)*(b.X-o.X) }
