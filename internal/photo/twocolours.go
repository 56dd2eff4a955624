package photo

import (
	"math"
	"slices"

	"setshade/internal/plane"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

// coreCell is a small square of a drop's middle: the means over its pixels, and over those
// that are read.
type coreCell struct {
	all, read corePixel
	readShare float64
}

// coreAcross is how many cells reach across the middle of a drop.
const coreAcross = 12

// cellsOf gathers the middle of a drop into cells.
func (m *meter) cellsOf(core []corePixel) []coreCell {
	const leastPixels = 3
	var sums [coreAcross * coreAcross]coreCell
	var count [coreAcross * coreAcross]float64
	cell := func(v float64) int {
		return min(max(int((v/m.core+1)/2*coreAcross), 0), coreAcross-1)
	}
	for i := range core {
		p := &core[i]
		rho := math.Sqrt(p.term[3])
		x, y := 0.0, 0.0
		if rho > 0 {
			x, y = p.term[1]/rho, p.term[2]/rho
		}
		k := cell(y)*coreAcross + cell(x)
		count[k]++
		sums[k].all.add(p)
		if p.use == useRead {
			sums[k].readShare++
			sums[k].read.add(p)
		}
	}
	var cells []coreCell
	for k, n := range count {
		if n < leastPixels {
			continue
		}
		c := sums[k]
		c.all.divide(n)
		c.read.divide(max(1, c.readShare))
		c.readShare /= n
		cells = append(cells, c)
	}
	return cells
}

func (p *corePixel) add(q *corePixel) {
	for t, v := range q.term {
		p.term[t] += v
	}
	for c, v := range q.ratio {
		p.ratio[c] += v
	}
}

func (p *corePixel) divide(n float64) {
	for t := range p.term {
		p.term[t] /= n
	}
	for c := range p.ratio {
		p.ratio[c] /= n
	}
}

// hues are brightness, red-green and blue-yellow.
func hues(d [channels]float64) [channels]float64 {
	return [channels]float64{mean3(d), d[red] - d[green], d[blue] - (d[red]+d[green])/2}
}

// twoColours fits a dome to what most of a drop's middle has in common, where a good part
// of what is read has another colour: a dried petal can be as large as a quarter of it,
// and draws a dome fitted to all after itself. It is nil where less than the least share
// of the cells has another.
//
// Of the domes fitted to one side or another of the middle, to its inside and its
// outside, each refitted to those cells that it tells best, that one is taken which
// tells half of the cells best: the least trimmed squares and their concentration steps
// (Rousseeuw and Van Driessen 2006, "Computing LTS regression for large data sets", Data
// Min. Knowl. Discov. 12:29, from memory).
func (m *meter) twoColours(cells []coreCell, scale *[channels]float64, leastShare float64) *dome {
	const half, near, far = 0.5, 3.0, 6.0
	pixels := make([]corePixel, len(cells))
	from := func(start func(c *coreCell) bool) {
		for i := range cells {
			pixels[i] = cells[i].all
			if pixels[i].use = useRim; start(&cells[i]) {
				pixels[i].use = useRead
			}
		}
	}
	from(func(c *coreCell) bool { return c.readShare >= half })
	if all, _, ok := solveDome(pixels, leastCells); ok && farShare(cells, &all, scale, near) == 0 {
		return nil
	}
	var best dome
	least := math.Inf(1)
	for _, start := range m.starts() {
		from(start)
		if fit, usual := concentrated(pixels, scale); usual < least {
			best, least = fit, usual
		}
	}
	const apart = 5.0 // dE00: less hardly shifts the mean
	limit := far * max(1, least)
	if math.IsInf(least, 1) || farShare(cells, &best, scale, limit) < leastShare || m.farColour(cells, &best, scale, limit) < apart {
		return nil
	}
	return &best
}

// leastCells is how many cells a dome is fitted to at least.
const leastCells = 2 * domeTerms

// starts are the parts of the middle that a dome is first fitted to.
func (m *meter) starts() []func(c *coreCell) bool {
	const sides = 8
	inside := 0.6 * m.core * 0.6 * m.core
	starts := []func(c *coreCell) bool{
		func(c *coreCell) bool { return true },
		func(c *coreCell) bool { return c.all.term[3] < inside },
		func(c *coreCell) bool { return c.all.term[3] >= inside },
	}
	for k := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / sides)
		toward := plane.Point{X: cos, Y: sin}
		starts = append(starts, func(c *coreCell) bool { return c.all.term[1]*toward.X+c.all.term[2]*toward.Y >= 0 })
	}
	return starts
}

// concentrated refits a dome to the half of the cells that it tells best, and returns
// the root of their mean square, infinite where they are too few.
func concentrated(cells []corePixel, scale *[channels]float64) (fit dome, usual float64) {
	const steps = 4
	far, sorted := make([]float64, len(cells)), make([]float64, len(cells))
	for range steps {
		var ok bool
		if fit, _, ok = solveDome(cells, leastCells); !ok {
			return fit, math.Inf(1)
		}
		for i := range cells {
			far[i] = cells[i].farFrom(&fit, scale)
		}
		copy(sorted, far)
		slices.Sort(sorted)
		nearer := sorted[:len(sorted)/2+1]
		usual = 0
		for i := range cells {
			if cells[i].use = useRim; far[i] <= nearer[len(nearer)-1] {
				cells[i].use = useRead
			}
		}
		for _, v := range nearer {
			usual += v * v / float64(len(nearer))
		}
	}
	return fit, math.Sqrt(usual)
}

// farFrom is how far a pixel lies from a dome, in scales of brightness and hues.
func (p *corePixel) farFrom(fit *dome, scale *[channels]float64) float64 {
	var d [channels]float64
	for c := range d {
		d[c] = p.ratio[c] - fit.at(&p.term, c)
	}
	sum := 0.0
	for k, v := range hues(d) {
		sum += v * v / (scale[k] * scale[k])
	}
	return math.Sqrt(sum)
}

// farShare is the share of the cells that are read which lie farther from a dome than a
// limit.
func farShare(cells []coreCell, fit *dome, scale *[channels]float64, limit float64) float64 {
	read, off := 0.0, 0.0
	for i := range cells {
		if cells[i].readShare < 0.5 {
			continue
		}
		read++
		if cells[i].read.farFrom(fit, scale) > limit {
			off++
		}
	}
	return off / max(read, 1)
}

// farColour is how far the middling colour of the cells that lie far from a dome is from
// the dome's, in dE00.
func (m *meter) farColour(cells []coreCell, fit *dome, scale *[channels]float64, limit float64) float64 {
	var off [][channels]float64
	for i := range cells {
		p := &cells[i].read
		if cells[i].readShare < 0.5 || p.farFrom(fit, scale) <= limit {
			continue
		}
		var d [channels]float64
		for c := range d {
			d[c] = p.ratio[c] - fit.at(&p.term, c)
		}
		off = append(off, d)
	}
	middle, other := fit.middle(), middling(off)
	for c := range other {
		other[c] += middle[c]
	}
	return spectrum.DE00(m.bare(middle), m.bare(other))
}

// middle is the ratio at the centre.
func (d *dome) middle() [channels]float64 {
	return [channels]float64{d[red][0], d[green][0], d[blue][0]}
}

// petalOn reports whether something of another hue lies on a drop, which would pass for
// its gloss.
func (m *meter) petalOn(l *leans) bool {
	cells := make([]coreCell, len(l.term))
	for i := range cells {
		p := corePixel{term: l.term[i], ratio: l.light[i]}
		if cells[i] = (coreCell{all: p, read: p}); l.read[i] {
			cells[i].readShare = 1
		}
	}
	// In the middle of a drop its surface hardly leans, so that a petal there takes but few
	// cells.
	const glossy, hue, leastShare = 0.02, 2 * leastHue, 0.015
	return m.twoColours(cells, &[channels]float64{glossy, hue, hue}, leastShare) != nil
}

// leftOutOf is the middling ratio of what is not read.
func leftOutOf(core []corePixel) *[channels]float64 {
	var other [][channels]float64
	for i := range core {
		if core[i].use != useRead {
			other = append(other, core[i].ratio)
		}
	}
	ratio := middling(other)
	return &ratio
}

// bare is the colour of a ratio, not corrected.
func (m *meter) bare(ratio [channels]float64) spectrum.Lab {
	return spectrum.LabOfLinear(ratio[red]*m.card[red], ratio[green]*m.card[green], ratio[blue]*m.card[blue])
}

// middling is the median of each channel.
func middling(ratios [][channels]float64) (out [channels]float64) {
	values := make([]float64, len(ratios))
	for c := range out {
		for i, v := range ratios {
			values[i] = v[c]
		}
		out[c] = rank.Median(values)
	}
	return out
}

// isLit reports whether a colour may be that of the wax with light mirrored in it.
func isLit(second *[channels]float64, fit *dome) bool {
	for c, v := range second {
		if v < fit[c][0] {
			return false
		}
	}
	return true
}
