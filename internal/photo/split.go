package photo

import (
	"cmp"
	"math"
	"slices"

	"setshade/internal/plane"
)

// parts splits a seed that is two or more touching drops. Drops are round, so
// each is a peak of the distance to the seed's outline, and the seed is about the
// circles around the peaks. One part means that it is a single drop.
func parts(seed []int32, w int) [][]int32 {
	m := newDistanceMap(seed, w)
	peaks := m.peaks()
	if len(peaks) < 2 || !m.roundOff(peaks) {
		return [][]int32{seed}
	}
	out := make([][]int32, len(peaks))
	for _, i := range seed {
		k := nearestCircle(peaks, plane.Point{X: float64(int(i)%w) + 0.5, Y: float64(int(i)/w) + 0.5})
		out[k] = append(out[k], i)
	}
	return out
}

// circle is a peak of the distance map, in pixels of the picture.
type circle struct {
	centre plane.Point
	radius float64
}

// nearestCircle says to which circle a point belongs: the one of the smallest
// power d² - r², which parts two circles by a straight line through where they
// cross (Aurenhammer 1987, "Power diagrams", SIAM J. Comput. 16(1)).
func nearestCircle(circles []circle, p plane.Point) int {
	best, least := 0, math.Inf(1)
	for k, c := range circles {
		d := p.Minus(c.centre)
		if power := d.X*d.X + d.Y*d.Y - c.radius*c.radius; power < least {
			best, least = k, power
		}
	}
	return best
}

// distanceMap holds how far each pixel of a filled seed is from its outline.
type distanceMap struct {
	x0, y0, w, h int
	far          []int32 // in units of 1/nearStep
	area         int
}

// The chamfer steps to a pixel beside and to one across the corner, √2 times as far.
const nearStep, cornerStep = 1000, 1414

// newDistanceMap closes the holes, which are highlights, and measures by chamfer
// steps of 1 and √2, from the upper left and back (Borgefors 1986, "Distance
// transformations in digital images", Comput. Vis. Graph. Image Process. 34).
func newDistanceMap(seed []int32, w int) *distanceMap {
	outer, hole := enclosed(seed, w)
	x0, y0, x1, y1 := extentOf(seed, w)
	m := &distanceMap{x0: x0 - 1, y0: y0 - 1, w: x1 - x0 + 3, h: y1 - y0 + 3, area: len(seed) + len(hole)}
	far, row, width := make([]int32, m.w*m.h), int32(w), m.w
	for _, i := range outer {
		y := i / row
		far[(int(y)-m.y0)*width+int(i-y*row)-m.x0] = math.MaxInt32
	}
	for i := width + 1; i < len(far)-width-1; i++ {
		if far[i] > 0 {
			above := i - width
			far[i] = min(far[i-1]+nearStep, far[above]+nearStep, far[above-1]+cornerStep, far[above+1]+cornerStep)
		}
	}
	for i := len(far) - width - 2; i > width; i-- {
		if far[i] > 0 {
			below := i + width
			far[i] = min(far[i], far[i+1]+nearStep, far[below]+nearStep, far[below+1]+cornerStep, far[below-1]+cornerStep)
		}
	}
	m.far = far
	return m
}

// peaks returns the circles, the largest first. Between two the seed must narrow
// to a neck.
func (m *distanceMap) peaks() []circle {
	const (
		smallest = 0.45 // of the largest radius
		apart    = 0.6  // of the sum of the radii
		neck     = 0.78 // of the smaller radius
	)
	least := max(nearStep*leastDiameter/2, int32(smallest*float64(slices.Max(m.far))))
	var order []int
	for i, d := range m.far {
		if d >= least && m.isTop(i) {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(m.far[b], m.far[a]), a-b) })
	var found []circle
	for _, i := range order {
		c := circle{m.at(i), m.distance(i)}
		if !slices.ContainsFunc(found, func(f circle) bool {
			return c.centre.Minus(f.centre).Length() < apart*(c.radius+f.radius) ||
				m.narrowest(c.centre, f.centre) > neck*min(c.radius, f.radius)
		}) {
			found = append(found, c)
		}
	}
	return found
}

// isTop reports whether none of the pixels around lies farther in.
func (m *distanceMap) isTop(i int) bool {
	far, above, below := m.far, i-m.w, i+m.w
	return far[i] >= max(far[i-1], far[i+1], far[above], far[below], far[above-1], far[above+1], far[below-1], far[below+1])
}

func (m *distanceMap) distance(i int) float64 { return float64(m.far[i]) / nearStep }

func (m *distanceMap) at(i int) plane.Point {
	return plane.Point{X: float64(m.x0+i%m.w) + 0.5, Y: float64(m.y0+i/m.w) + 0.5}
}

// narrowest is the least distance to the outline on the way between two points.
func (m *distanceMap) narrowest(a, b plane.Point) float64 {
	least := math.Inf(1)
	steps := 1 + int(b.Minus(a).Length())
	for k := range steps + 1 {
		p := plane.Between(a, b, float64(k)/float64(steps))
		least = min(least, m.distance((int(p.Y)-m.y0)*m.w+int(p.X)-m.x0))
	}
	return least
}

// roundOff reports whether the circles make up the seed: a ragged one has peaks
// too, but wide of their circles.
func (m *distanceMap) roundOff(circles []circle) bool {
	const covered = 0.82
	n := 0
	for i, d := range m.far {
		if d > 0 {
			p := m.at(i)
			if slices.ContainsFunc(circles, func(c circle) bool { return p.Minus(c.centre).Length() <= c.radius+0.5 }) {
				n++
			}
		}
	}
	return float64(n) > covered*float64(m.area)
}
