package spectrum

// bradford is the cone response matrix of the Bradford chromatic adaptation
// transform and its inverse. Source: ICC.1:2022 annex E, after Lam 1985.
var (
	bradford = [3][3]float64{
		{0.8951, 0.2664, -0.1614},
		{-0.7502, 1.7135, 0.0367},
		{0.0389, -0.0685, 1.0296},
	}
	bradfordInverse = [3][3]float64{
		{0.9869929, -0.1470543, 0.1599627},
		{0.4323053, 0.5183603, 0.0492912},
		{-0.0085287, 0.0400428, 0.9684867},
	}
)

// Adapt moves a colour seen by an eye used to one white to the colour that
// looks the same to an eye used to another (linear Bradford transform).
func (c XYZ) Adapt(from, to XYZ) XYZ {
	cone, src, dst := apply(bradford, c), apply(bradford, from), apply(bradford, to)
	return apply(bradfordInverse, XYZ{
		cone.X * dst.X / src.X, cone.Y * dst.Y / src.Y, cone.Z * dst.Z / src.Z,
	})
}

func apply(m [3][3]float64, v XYZ) XYZ {
	return XYZ{
		m[0][0]*v.X + m[0][1]*v.Y + m[0][2]*v.Z,
		m[1][0]*v.X + m[1][1]*v.Y + m[1][2]*v.Z,
		m[2][0]*v.X + m[2][1]*v.Y + m[2][2]*v.Z,
	}
}

// SeenUnder returns the colour of a reflectance factor under the light as it
// looks to an eye used to that light, told as the D65 Lab colour that looks
// the same. Its DE00 from the D65 colour is the shift a maker would notice.
func (l Illuminant) SeenUnder(r Spectrum) Lab {
	white := D65.White()
	return l.XYZ(r).Adapt(l.White(), white).Lab(white)
}
