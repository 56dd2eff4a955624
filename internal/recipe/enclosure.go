package recipe

import (
	"math"

	"setshade/internal/spectrum"
)

// MostDyes is the most dyes a match may use.
const MostDyes = 4

var white = func() [3]float64 { w := spectrum.D65.White(); return [3]float64{w.X, w.Y, w.Z} }()

// knee is where the CIELAB function f turns from a cube root into a line.
const knee = 6.0 / 29

// root is f of ISO/CIE 11664-4.
func root(t float64) float64 {
	if t > knee*knee*knee {
		return math.Cbrt(t)
	}
	return t/(3*knee*knee) + 4.0/29
}

// rootSlope is f', which falls as t grows.
func rootSlope(t float64) float64 {
	if t > knee*knee*knee {
		r := math.Cbrt(t)
		return 1 / (3 * r * r)
	}
	return 1 / (3 * knee * knee)
}

// cube is the inverse of root.
func cube(f float64) float64 {
	if f > knee {
		return f * f * f
	}
	return 3 * knee * knee * (f - 4.0/29)
}

// doses is a box of doses in portions, one interval for each dye of a set.
type doses struct{ least, most [MostDyes]int }

// enclosure holds L*, a*, b* over a box of doses, for those colours that are
// near the target:
//
//	Lab_r = at_r + Σ_j per_r,j d_j + e_r,   least_r <= e_r <= most_r
//
// where d_j in 0..width_j is the strength of dye j above its least.
type enclosure struct {
	at          [3]float64
	per         [3][MostDyes]float64
	least, most [3]float64
	width       [MostDyes]float64
}

// enclose works the enclosure out; it returns false when no colour of the box
// is near.
func (s *search) enclose(set []*colour, box *doses, n *near, e *enclosure) bool {
	var floor [MostDyes]float64
	for j, c := range set {
		floor[j] = c.strength[box.least[j]]
		e.width[j] = c.strength[box.most[j]] - floor[j]
	}
	var at, least, most, stray [3]float64 // of X, Y, Z
	var per [3][MostDyes]float64
	var bows spectrum.Spectrum
	for i := range bows {
		from, more := s.undyed[i], 0.0
		for j, c := range set {
			from += c.Absorption[i] * floor[j]
			more += c.Absorption[i] * e.width[j]
		}
		band := s.curves.chord(i, from, from+more)
		bows[i] = band.bow
		here := band.r + band.slope*(from-band.a)
		for x, w := range weights[i] {
			at[x] += w * here
			stray[x] += math.Abs(w) * band.bow
			least[x] += w * band.least
			most[x] += w * band.most
		}
		for j, c := range set {
			k := band.slope * c.Absorption[i]
			per[0][j] += weights[i][0] * k
			per[1][j] += weights[i][1] * k
			per[2][j] += weights[i][2] * k
		}
	}

	var f, slope, hump [3]float64 // of the CIELAB function: chord and its hump
	for x := range f {
		low, high := at[x]-stray[x], at[x]+stray[x]
		for j := range set {
			low += min(0, per[x][j]*e.width[j])
			high += max(0, per[x][j]*e.width[j])
		}
		low, high = max(low, least[x]-faint, n.xyz[x][0])-rounding, min(high, most[x]+faint, n.xyz[x][1])+rounding
		if low > high {
			return false
		}
		low, high = low/white[x], high/white[x]
		start := root(low)
		steep, flat := rootSlope(low), rootSlope(high)
		slope[x] = steep
		if high > low {
			slope[x] = (root(high) - start) / (high - low)
		}
		hump[x] = bow(high-low, slope[x], flat, steep)
		f[x] = start + slope[x]*(at[x]/white[x]-low)
		slope[x] /= white[x]
	}

	e.at = [3]float64{116*f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])}
	for j := range set {
		x, y, z := slope[0]*per[0][j], slope[1]*per[1][j], slope[2]*per[2][j]
		e.per[0][j], e.per[1][j], e.per[2][j] = 116*y, 500*(x-y), 200*(y-z)
	}
	// The bows of a band move X, Y and Z together.
	var l, a, b float64
	for i, bow := range bows {
		x, y, z := slope[0]*weights[i][0], slope[1]*weights[i][1], slope[2]*weights[i][2]
		l += math.Abs(y) * bow
		a += math.Abs(x-y) * bow
		b += math.Abs(y-z) * bow
	}
	e.least = [3]float64{-116 * l, -500 * (a + hump[1]), -200 * (b + hump[2])}
	e.most = [3]float64{116 * (l + hump[1]), 500 * (a + hump[0]), 200 * (b + hump[1])}
	return true
}

// faint is more than the few weights of Z below 0 come to, so that X, Y and Z
// fall with every band give or take this.
const faint = 1e-7

// weights are those of X, Y and Z under D65.
var weights = func() (w [spectrum.Bands][3]float64) {
	for i := range w {
		w[i] = spectrum.D65.Weights(i)
	}
	return w
}()

// colours returns the box that holds every colour of the enclosure that is near
// the target, and false when there is none.
func (e *enclosure) colours(dyes int, n *near) (labBox, bool) {
	box := n.box
	for r := range 3 {
		low, high := e.at[r]+e.least[r], e.at[r]+e.most[r]
		for j := range dyes {
			low += min(0, e.per[r][j]*e.width[j])
			high += max(0, e.per[r][j]*e.width[j])
		}
		box.least[r], box.most[r] = max(box.least[r], low-rounding), min(box.most[r], high+rounding)
		if box.least[r] > box.most[r] {
			return box, false
		}
	}
	return box, true
}
