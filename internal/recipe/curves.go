package recipe

import (
	"math"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
)

// curves tabulates, for every band, the reflectance factor over the absorption
// at steps of 1/64 of an octave, so that bounds cost little. Bounds from it
// hold exactly: an absorption is taken to the table's steps on either side.
type curves struct {
	first  uint64 // the step of entry 0
	convex bool
	bands  [spectrum.Bands][]calibrate.BandSlope
}

// Dropping the last 46 of the 52 bits of a float64's fraction leaves 64 even
// steps between one power of two and the next.
const stepBits = 46

func stepOf(a float64) uint64     { return math.Float64bits(a) >> stepBits }
func valueOf(step uint64) float64 { return math.Float64frombits(step << stepBits) }

func tabulate(p *calibrate.Palette, least, most float64) *curves {
	c := &curves{first: stepOf(least), convex: p.Convex()}
	count := int(stepOf(most)-c.first) + 2
	for band := range c.bands {
		if band > 0 && p.Uniform() {
			c.bands[band] = c.bands[0]
			continue
		}
		c.bands[band] = make([]calibrate.BandSlope, count)
		for i := range c.bands[band] {
			c.bands[band][i] = p.Band(band, valueOf(c.first+uint64(i)))
		}
	}
	return c
}

// cover reports whether the table holds these absorptions and all between.
func (c *curves) cover(least, most float64) bool {
	return stepOf(least) >= c.first && stepOf(most)+1 < c.first+uint64(len(c.bands[0]))
}

// chord encloses the reflectance factor of one band between two absorptions:
//
//	R(A) = r + slope (A - a) ± bow
//
// and also between least and most.
type chord struct {
	a, r, slope, bow float64
	least, most      float64
}

// chord draws a chord that spans the absorptions from..to.
func (c *curves) chord(band int, from, to float64) chord {
	i, k := stepOf(from), stepOf(to)+1
	a, b := valueOf(i), valueOf(k)
	curve := c.bands[band]
	light, dark := &curve[i-c.first], &curve[k-c.first]
	out := chord{
		a: a, r: light.Reflectance, slope: (dark.Reflectance - light.Reflectance) / (b - a),
		least: dark.Reflectance, most: light.Reflectance,
	}
	if !c.convex {
		steepest := -light.Steepness * max(light.KSPerA, dark.KSPerA)
		flattest := -dark.Steepness * min(light.KSPerA, dark.KSPerA)
		out.bow = bow(b-a, out.slope, steepest, flattest)
		return out
	}
	// A convex curve hangs below its chord: between nothing and its sag.
	j := (i + k) / 2
	out.bow = sag(a, valueOf(j), b, light, &curve[j-c.first], dark, out.slope) / 2
	out.r -= out.bow
	return out
}

// sag is the most that a convex curve hangs below its chord from a to b: no
// more than the tangents at a, b and m between them.
func sag(a, m, b float64, atA, atM, atB *calibrate.BandSlope, slope float64) float64 {
	slopeA, slopeM, slopeB := atA.Slope(), atM.Slope(), atB.Slope()
	if slopeM <= slopeA || slopeB <= slopeM {
		return bow(b-a, slope, slopeA, slopeB)
	}
	// Where the tangent at m meets those at a and at b.
	first := (atA.Reflectance - atM.Reflectance - slopeM*(a-m)) / (slopeM - slopeA)
	last := (atB.Reflectance - atM.Reflectance - slopeM*(b-m)) / (slopeB - slopeM)
	return max(0, (slope-slopeA)*first, (slopeB-slope)*last)
}

// bow is the most that a function can stray from its chord over an interval of
// the given width when its slope lies between two numbers.
func bow(width, slope, least, most float64) float64 {
	if most <= least {
		return 0
	}
	return width * max(0, most-slope) * max(0, slope-least) / (most - least)
}
