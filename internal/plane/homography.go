package plane

// Homography is a projective map of the plane, row by row.
type Homography [9]float64

// SquareTo maps the unit square onto the quadrilateral, (0,0) to its first
// corner and (1,0) to its second (Heckbert 1989, "Fundamentals of texture
// mapping and image warping", section 2.2.3; recalled from memory).
func SquareTo(q Quad) Homography {
	s := q[0].Minus(q[1]).Plus(q[2]).Minus(q[3])
	d1, d2 := q[1].Minus(q[2]), q[3].Minus(q[2])
	det := d1.X*d2.Y - d2.X*d1.Y
	g := (s.X*d2.Y - d2.X*s.Y) / det
	h := (d1.X*s.Y - s.X*d1.Y) / det
	return Homography{
		q[1].X - q[0].X + g*q[1].X, q[3].X - q[0].X + h*q[3].X, q[0].X,
		q[1].Y - q[0].Y + g*q[1].Y, q[3].Y - q[0].Y + h*q[3].Y, q[0].Y,
		g, h, 1,
	}
}

// Apply returns where a point comes to lie.
func (m Homography) Apply(p Point) Point {
	w := m[6]*p.X + m[7]*p.Y + m[8]
	return Point{(m[0]*p.X + m[1]*p.Y + m[2]) / w, (m[3]*p.X + m[4]*p.Y + m[5]) / w}
}

// AlongRow returns a function of x that is Apply for the points at height y; what
// they have in common is computed once.
func (m Homography) AlongRow(y float64) func(x float64) Point {
	px, py, pw := m[1]*y+m[2], m[4]*y+m[5], m[7]*y+m[8]
	return func(x float64) Point {
		w := 1 / (m[6]*x + pw)
		return Point{(m[0]*x + px) * w, (m[3]*x + py) * w}
	}
}

// Inverse is the adjugate; its scale doesn't matter to a projective map.
func (m Homography) Inverse() Homography {
	return Homography{
		m[4]*m[8] - m[5]*m[7], m[2]*m[7] - m[1]*m[8], m[1]*m[5] - m[2]*m[4],
		m[5]*m[6] - m[3]*m[8], m[0]*m[8] - m[2]*m[6], m[2]*m[3] - m[0]*m[5],
		m[3]*m[7] - m[4]*m[6], m[1]*m[6] - m[0]*m[7], m[0]*m[4] - m[1]*m[3],
	}
}

// After returns the map that does b first, then m.
func (m Homography) After(b Homography) (out Homography) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[3*i+j] += m[3*i+k] * b[3*k+j]
			}
		}
	}
	return out
}

// Jacobian returns the derivative of the map at a point, row by row: how a small
// step there looks in the picture.
func (m Homography) Jacobian(p Point) [4]float64 {
	w := m[6]*p.X + m[7]*p.Y + m[8]
	q := m.Apply(p)
	return [4]float64{
		(m[0] - q.X*m[6]) / w, (m[1] - q.X*m[7]) / w,
		(m[3] - q.Y*m[6]) / w, (m[4] - q.Y*m[7]) / w,
	}
}
