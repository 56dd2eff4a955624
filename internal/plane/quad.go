package plane

import (
	"math"
	"slices"
)

// Quad holds the corners of a quadrilateral, clockwise on the screen; of a card in an
// upright picture top left, top right, bottom right, bottom left.
type Quad [4]Point

// LargestQuad returns the four of the hull's corners that span the most area.
func LargestQuad(hull []Point) Quad {
	hull = simplified(hull, 36)
	var best Quad
	bestArea := -1.0
	n := len(hull)
	for a := 0; a < n; a++ {
		for c := a + 2; c < n; c++ {
			// Either side of the diagonal a-c the farthest corner wins.
			b, d := farthest(hull, a, c, a+1, c), farthest(hull, a, c, c+1, n+a)
			q := Quad{hull[a], hull[b], hull[c], hull[d]}
			if area := math.Abs(PolygonArea(q[:])); area > bestArea {
				best, bestArea = q, area
			}
		}
	}
	return best
}

func farthest(hull []Point, a, c, from, to int) int {
	best, far := a, -1.0
	for i := from; i < to; i++ {
		k := i % len(hull)
		if d := math.Abs(cross(hull[a], hull[c], hull[k])); d > far {
			best, far = k, d
		}
	}
	return best
}

// FromTopLeft orders the corners clockwise on the screen, beginning with the
// one nearest the upper left.
func (q Quad) FromTopLeft() Quad {
	if PolygonArea(q[:]) < 0 {
		slices.Reverse(q[:])
	}
	first := 0
	for i, p := range q {
		if p.X+p.Y < q[first].X+q[first].Y {
			first = i
		}
	}
	return Quad{q[first], q[(first+1)%4], q[(first+2)%4], q[(first+3)%4]}
}

// Area is that of the quadrilateral, never negative.
func (q Quad) Area() float64 { return math.Abs(PolygonArea(q[:])) }

// Times returns the quadrilateral in a picture f times as fine.
func (q Quad) Times(f float64) Quad {
	for i := range q {
		q[i] = q[i].Times(f)
	}
	return q
}

// Inset returns the quadrilateral moved inwards by a share of its width and
// height, in its own perspective.
func (q Quad) Inset(share float64) Quad {
	m, lo, hi := SquareTo(q), share, 1-share
	return Quad{m.Apply(Point{lo, lo}), m.Apply(Point{hi, lo}), m.Apply(Point{hi, hi}), m.Apply(Point{lo, hi})}
}
