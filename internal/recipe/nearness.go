package recipe

import (
	"math"

	"setshade/internal/spectrum"
)

// labBox holds colours between two corners.
type labBox struct{ least, most [3]float64 }

// around is the box with the given half widths around a colour.
func around(c spectrum.Lab, half [3]float64) labBox {
	var b labBox
	for i, v := range c.Vector() {
		b.least[i], b.most[i] = v-half[i], v+half[i]
	}
	return b
}

// halves splits the box in the middle of one coordinate.
func (b labBox) halves(coordinate int) (labBox, labBox) {
	lower, upper := b, b
	middle := (b.least[coordinate] + b.most[coordinate]) / 2
	lower.most[coordinate], upper.least[coordinate] = middle, middle
	return lower, upper
}

// extremes bounds every weight of CIEDE2000 between a target and any colour of
// a box. The symbols are those of Sharma, Wu and Dalal 2005 (see
// spectrum.DE00); each bound is on the side that makes a difference small.
type extremes struct {
	sl, sc, sh float64    // at most
	rt         float64    // |R_T| at most; R_T is never above 0
	stretch    float64    // 1 + G at least
	chroma1    [2]float64 // C'₁ of the target: it depends on G, and so on the other colour
	chroma2    [2]float64 // C'₂
	turn       [2]float64 // |Δh'| in radians
}

const (
	mostT       = 1 + 0.17 + 0.24 + 0.32 + 0.20   // of T, all cosines at 1
	mostTSlope  = 0.17 + 2*0.24 + 3*0.32 + 4*0.20 // of |dT/dh'|, per radian
	mostRotator = 2 * 0.8660254037844387          // of |R_T|: 2 sin 60°
	blueHue     = 275 * math.Pi / 180             // where R_T is largest
	blueWidth   = 25 * math.Pi / 180              // of its bell
)

// extremesOver works the bounds out.
func extremesOver(target spectrum.Lab, b labBox) extremes {
	var e extremes
	// S_L grows with the distance of the mean lightness from 50.
	far := math.Max(math.Abs((target.L+b.least[0])/2-50), math.Abs((target.L+b.most[0])/2-50))
	e.sl = 1 + 0.015*far*far/math.Sqrt(20+far*far)

	c := target.Chroma()
	nearA, farA := magnitudes(b.least[1], b.most[1])
	nearB, farB := magnitudes(b.least[2], b.most[2])
	// G falls as the mean chroma grows.
	least := stretch((c + math.Hypot(farA, farB)) / 2)
	most := stretch((c + math.Hypot(nearA, nearB)) / 2)
	e.stretch = least
	e.chroma1 = [2]float64{math.Hypot(least*target.A, target.B), math.Hypot(most*target.A, target.B)}
	e.chroma2 = [2]float64{math.Hypot(least*nearA, nearB), math.Hypot(most*farA, farB)}
	e.turn[1] = math.Pi
	mean := (e.chroma1[1] + e.chroma2[1]) / 2
	e.sc = 1 + 0.045*mean
	e.sh, e.rt = 1+0.015*mean*mostT, mostRotator*math.Sqrt(seventhPower25(mean))
	e.hue(target, b, least, most, mean)
	return e
}

// hue sharpens T, R_T and Δh' when the hue of every colour of the box is known
// to lie within half a turn of the target's.
func (e *extremes) hue(target spectrum.Lab, b labBox, least, most, mean float64) {
	if b.least[1] <= 0 && b.most[1] >= 0 && b.least[2] <= 0 && b.most[2] >= 0 || target.Chroma() == 0 {
		return
	}
	at := math.Atan2(target.B, least*target.A)
	sway := math.Abs(math.Remainder(math.Atan2(target.B, most*target.A)-at, 2*math.Pi))
	// The corners tell the hues of a box without grey, seen from its middle.
	middle := math.Atan2(b.least[2]+b.most[2], (least+most)/2*(b.least[1]+b.most[1]))
	from, to := math.Inf(1), math.Inf(-1)
	for _, a := range [2]float64{b.least[1], b.most[1]} {
		for _, s := range [2]float64{least, most} {
			for _, v := range [2]float64{b.least[2], b.most[2]} {
				turn := math.Remainder(math.Atan2(v, s*a)-middle, 2*math.Pi)
				from, to = min(from, turn), max(to, turn)
			}
		}
	}
	off := math.Remainder(middle-at, 2*math.Pi)
	from, to = off+from-sway, off+to+sway
	const half = math.Pi - 1e-6
	switch {
	case to-from > half:
		return
	case from < -half:
		// Across the opposite hue the mean hue leaps.
		e.turn[0] = min(2*math.Pi+from, -to)
		return
	case to > half:
		e.turn[0] = min(2*math.Pi-to, from)
		return
	}
	e.turn = [2]float64{max(0, from, -to), max(-from, to)}
	// The mean hue runs from at + from/2 to at + to/2, give or take the sway.
	hue, spread := at+(from+to)/4, (to-from)/4+sway
	e.sh = 1 + 0.015*mean*math.Min(mostT, hueWeight(hue)+mostTSlope*spread)
	blue := math.Max(0, math.Abs(math.Remainder(hue-blueHue, 2*math.Pi))-spread) / blueWidth
	e.rt = math.Sin(math.Pi/3*math.Exp(-blue*blue)) * 2 * math.Sqrt(seventhPower25(mean))
	// R_T ΔC' ΔH' takes away only where both have one sign.
	if from >= 0 && e.chroma2[1] <= e.chroma1[0] || to <= 0 && e.chroma2[0] >= e.chroma1[1] {
		e.rt = 0
	}
}

// hueWeight is T (15) of a hue in radians.
func hueWeight(h float64) float64 {
	const degree = math.Pi / 180
	return 1 - 0.17*math.Cos(h-30*degree) + 0.24*math.Cos(2*h) +
		0.32*math.Cos(3*h+6*degree) - 0.20*math.Cos(4*h-63*degree)
}

// stretch is 1 + G (4) of a mean chroma.
func stretch(meanC float64) float64 { return 1 + 0.5*(1-math.Sqrt(seventhPower25(meanC))) }

// seventhPower25 is C⁷ / (C⁷ + 25⁷).
func seventhPower25(c float64) float64 {
	c2 := c * c
	c7 := c2 * c2 * c2 * c
	return c7 / (c7 + 6103515625)
}

// magnitudes returns the least and the most |v| for v between two numbers.
func magnitudes(from, to float64) (least, most float64) {
	return gap(0, from, to), math.Max(math.Abs(from), math.Abs(to))
}

// gap is how far v lies from the interval.
func gap(v, from, to float64) float64 { return math.Max(0, math.Max(from-v, v-to)) }

// leastDE00 returns a number that no colour of the box has a smaller CIEDE2000
// difference to the target than. With x = ΔC'/S_C and y = ΔH'/S_H, and since
// R_T <= 0,
//
//	ΔE² = (ΔL'/S_L)² + x² + y² - |R_T| x y
//
// and x² + y² >= (Δa'² + Δb'²) / S_C², for ΔC'² + ΔH'² = Δa'² + Δb'² exactly,
// and S_H <= S_C always. The bound shrinks onto the difference as the box does.
func leastDE00(target spectrum.Lab, b labBox) float64 {
	e := extremesOver(target, b)
	lightness := gap(target.L, b.least[0], b.most[0]) / e.sl
	a, v := gap(target.A, b.least[1], b.most[1])*e.stretch, gap(target.B, b.least[2], b.most[2])
	plane := (a*a + v*v) / (e.sc * e.sc) * (1 - e.rt/2)

	x := math.Max(0, math.Max(e.chroma2[0]-e.chroma1[1], e.chroma1[0]-e.chroma2[1])) / e.sc
	y := 2 * math.Sqrt(e.chroma1[0]*e.chroma2[0]) * math.Sin(e.turn[0]/2) / e.sh
	most := 2 * math.Sqrt(e.chroma1[1]*e.chroma2[1]) * math.Sin(e.turn[1]/2) // S_H is never below 1
	// The least of the form over all x from here up and y from here to the most.
	x, y = max(x, e.rt/2*y), min(max(y, e.rt/2*x), max(y, most))
	polar := x*x + y*y - e.rt*x*y
	return math.Sqrt(lightness*lightness+math.Max(plane, polar)) - rounding
}

// rounding is far above what float64 loses in a difference, far below what is
// seen.
const rounding = 1e-9
