package scene

import "math"

// texture is smooth random relief over the plane, made of values on a grid.
type texture uint64

// at returns relief in -1..1 with features about one unit wide.
func (t texture) at(x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int64(fx), int64(fy)
	u, v := smoothstep(x-fx), smoothstep(y-fy)
	top := mix(t.value(ix, iy), t.value(ix+1, iy), u)
	bottom := mix(t.value(ix, iy+1), t.value(ix+1, iy+1), u)
	return mix(top, bottom, v)
}

// value returns the relief of a grid point, by a finalizer of bits (Steele, Lea
// and Flood 2014, "Fast splittable pseudorandom number generators").
func (t texture) value(x, y int64) float64 {
	h := uint64(t) ^ uint64(x)*0x9e3779b97f4a7c15 ^ uint64(y)*0xc2b2ae3d27d4eb4f
	h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>27) * 0x94d049bb133111eb
	return float64((h^h>>31)>>11)/(1<<52) - 1
}

func mix(a, b, share float64) float64 { return a + (b-a)*share }

// smoothstep rises from 0 at 0 to 1 at 1, level at both ends.
func smoothstep(x float64) float64 {
	x = min(max(x, 0), 1)
	return x * x * (3 - 2*x)
}
