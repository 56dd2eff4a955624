package rescue

import (
	"math"

	"setshade/internal/spectrum"
)

// searchSteps is how finely dilutions are tried before the search between them.
const searchSteps = 300

// dilution returns ln s of undyed wax alone.
func (a *aim) dilution() float64 {
	if a.Target.lighterPercent > 0 {
		return max(a.low, math.Log1p(-a.Target.lighterPercent/100))
	}
	if a.low == 0 {
		return 0
	}
	return nearestOf(func(u float64) float64 {
		return spectrum.DE00(a.lab(a.Batch.Recipe.Scaled(math.Exp(u))), a.wanted)
	}, a.low, 0)
}

// nearestOf returns where in low..high a function is least: the best of an even
// search, then golden-section search (Kiefer 1953, Proc. Am. Math. Soc. 4:502)
// between its neighbours.
func nearestOf(miss func(float64) float64, low, high float64) float64 {
	at := func(i int) float64 { return high + (low-high)*float64(i)/searchSteps }
	best, least := 0, miss(high)
	for i := 1; i <= searchSteps; i++ {
		if d := miss(at(i)); d < least {
			best, least = i, d
		}
	}
	found := goldenSection(miss, at(min(best+1, searchSteps)), at(max(best-1, 0)))
	// An end of the range can be better than any point inside it.
	for _, end := range []float64{high, low} {
		if miss(end) <= miss(found) {
			return end
		}
	}
	return found
}

func goldenSection(f func(float64) float64, a, b float64) float64 {
	ratio := (math.Sqrt(5) - 1) / 2
	width := (b - a) * 1e-8
	c, d := b-ratio*(b-a), a+ratio*(b-a)
	fc, fd := f(c), f(d)
	for b-a > width {
		if fc < fd {
			b, d, fd = d, c, fc
			c = b - ratio*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + ratio*(b-a)
			fd = f(d)
		}
	}
	return (a + b) / 2
}
