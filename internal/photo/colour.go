package photo

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/camera"
	"setshade/internal/picture"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

// use says what a pixel of a drop was used for.
type use uint8

const (
	useRead use = iota
	useHighlight
	useShadow
	useForeign // another colour than the wax: a bit of flower, a bubble, a fibre
	useRim
)

// The part of a drop that is read, as a share of its radius. A set drop's rim
// is thin over a third of its radius; a liquid one is a flat pool.
const (
	coreSet    = 0.55
	coreLiquid = 0.65
)

// meter reads the colour of drops on a flattened card.
type meter struct {
	p          *picture.Picture
	f          *flattened
	card       [channels]float64 // linear sRGB of the bare card's declared colour
	core       float64
	leftOut    []blob            // wax that is no drop
	thick      bool              // pieces, in shadows of their own
	level      float64           // of the light of card white
	correction *camera.Corrector // nil for none
	// uneven is the covariance, relative, of what is left of the light on the
	// card after flattening: the error that no averaging within a drop removes.
	uneven [channels][channels]float64
	// haze is what lies over all drops and is taken off each.
	haze haze
}

// dome is the small surface fitted to the middle of a drop, per channel:
//
//	ratio(X, Y) = c0 + c1 ρX + c2 ρY + c3 ρ²,  ρ² = X² + Y²
//
// X, Y in units of the drop's radius. c1, c2 take the shading of a dome lit
// from one side, c3 the thinning towards the rim, and c0 is the colour at the
// centre, where the dome lies parallel to the card.
//
// A drop far wider than wax is high lies flat in its middle, held down by its weight,
// and leans ever more towards the rim (de Gennes, Brochard-Wyart and Quéré 2004,
// "Capillarity and Wetting Phenomena", chapter 2, from memory): its shading grows
// faster than the distance from the centre, which ρX and ρY follow. With X and Y in
// their place the two halves of a drop on the black bar, each continued to the centre
// from its own side, came out 0.3 L* apart.
type dome [channels][domeTerms]float64

const domeTerms = 4

func (d *dome) at(t *[domeTerms]float64, c int) float64 {
	return d[c][0]*t[0] + d[c][1]*t[1] + d[c][2]*t[2] + d[c][3]*t[3]
}

// corePixel is a pixel of the drop's middle.
type corePixel struct {
	index int32
	use   use
	term  [domeTerms]float64
	ratio [channels]float64
}

// reading of one drop, before it is named and numbered.
type domeReading struct {
	ratio      [channels]float64
	covariance [channels][channels]float64
	spread     float64 // of the brightness about the dome, relative to card white
	uses       []use   // of each pixel of the blob
	share      Rejected
	// darkened says that a good part of the middle had another colour, which light added
	// to the wax's does not make; unlikeRim that what was read is unlike the wax around the
	// middle, and other that the second colour is like it.
	darkened, unlikeRim, other bool
	offHue                     float64 // of the wax around, in dE00; see meter.offHue
	veiled                     bool    // brighter in its middle than around it
	clipped                    float64 // shares of the pixels read
	crushed                    float64
}

// read reads the middle of a drop, all of it or, of one that lies on two
// grounds, what on returns true for. What is brighter than brightest is no wax. chroma
// is the variance of Cb and Cr where it is known, else nil.
func (m *meter) read(b *blob, on func(i int32) bool, brightest float64, chroma *[2]float64) (domeReading, bool) {
	core, uses := m.coreOf(b, on)
	m.clear(core)
	fit, inverse, second, ok := m.fitDome(core, b, brightest)
	r := domeReading{uses: uses, darkened: second != nil && !isLit(second, &fit)}
	if !ok {
		return r, false
	}
	if rim := m.rimPixels(b, on); len(rim) > 0 {
		wax, off, added := m.besideRim(rim, &fit)
		r.unlikeRim = off > otherRim
		r.other = second != nil && off > max(otherRim, 2*spectrum.DE00(wax, m.bare(*second)))
		r.veiled = added > veiledHalf || added > veiledWhole && on == nil
	}
	if !mostlyRead(core) {
		return r, false
	}
	k := 0
	for i := range uses {
		if k < len(core) && core[k].index == b.pixels[i] {
			uses[i] = core[k].use
			k++
		}
	}
	for c := range r.ratio {
		r.ratio[c] = fit[c][0]
	}
	r.ratio = m.p.Code.Space.NotBelowBlack(r.ratio)
	r.share = shares(uses)
	m.errors(&r, core, &fit, inverse, chroma)
	return r, true
}

func (m *meter) coreOf(b *blob, on func(i int32) bool) ([]corePixel, []use) {
	uses := make([]use, len(b.pixels))
	core := make([]corePixel, 0, int(m.core*m.core*float64(len(b.pixels)))+1)
	within, perRadius := b.RadiusSquared(), 2/b.diameter()
	for k, i := range b.pixels {
		rho2 := within(centreAt(i, m.f.w))
		if rho2 > m.core*m.core || on != nil && !on(i) {
			uses[k] = useRim
			continue
		}
		core = append(core, m.domePixel(b, i, perRadius, rho2))
	}
	return core, uses
}

// domePixel is a pixel of a drop with its terms of the dome; perRadius is one over the
// drop's radius, and rho2 the square of how far out the pixel lies, in radii.
func (m *meter) domePixel(b *blob, i int32, perRadius, rho2 float64) corePixel {
	d := centreAt(i, m.f.w).Minus(b.Centre).Times(perRadius)
	rho := math.Sqrt(rho2)
	return corePixel{index: i, term: [domeTerms]float64{1, rho * d.X, rho * d.Y, rho2}, ratio: m.f.at(i)}
}

// fitDome fits the dome robustly: highlights are far brighter than the wax, or
// brighter than the brightest that wax is, and are left out with a margin around
// them; what is darker is dirt or a shadow across the drop. Second is the colour that a
// good part had, other than the rest; nil for none.
func (m *meter) fitDome(core []corePixel, b *blob, brightest float64) (fit dome, inverse float64, second *[channels]float64, ok bool) {
	brightness := make([]float64, len(core))
	for i := range core {
		brightness[i] = mean3(core[i].ratio)
	}
	limit := min(brightest, highlightLimit(brightness))
	for i := range core {
		if brightness[i] > limit {
			core[i].use = useHighlight
		}
	}
	const uneven, leastShare = 0.004, 0.06
	hue := max(leastHue, m.hueRounding(core))
	ok = settle(core, brightest, hue, nil)
	if most := m.twoColours(m.cellsOf(core), &[channels]float64{uneven, hue, hue}, leastShare); most != nil {
		ok = settle(core, brightest, hue, most)
		second = leftOutOf(core)
		m.widen(core, b, useShadow)
	}
	if !ok {
		return fit, 0, second, false
	}
	m.widen(core, b, useForeign)
	m.widen(core, b, useHighlight)
	fit, inverse, ok = solveDome(core, leastPixels)
	return fit, inverse, second, ok
}

// settle fits the dome and judges the pixels by it in turns, from a first dome or, where
// that is nil, from the pixels as they are used.
func settle(core []corePixel, brightest, hueFloor float64, first *dome) (ok bool) {
	const rounds = 6
	residuals := make([][channels]float64, len(core))
	var sums domeSums
	if first != nil {
		for i := range core {
			core[i].use = useRead
		}
		judge(core, first, residuals, &sums, brightest, hueFloor)
	}
	sums = sumsOf(core)
	for range rounds {
		var fit dome
		if fit, _, ok = sums.solve(leastPixels); !ok || !judge(core, &fit, residuals, &sums, brightest, hueFloor) {
			break
		}
	}
	return ok
}

// highlightLimit is the brightness above which it is no wax, at first sight. Where the
// light mirrors in more than half of the middle there is no wax to be seen; below
// that, the lower quartiles are wax.
func highlightLimit(brightness []float64) float64 {
	const plenty = 800 // for quantiles
	every := 1 + len(brightness)/plenty
	sorted := make([]float64, 0, 1+len(brightness)/every)
	for i := 0; i < len(brightness); i += every {
		sorted = append(sorted, brightness[i])
	}
	low, middle := rank.Quantile(sorted, 0.1), rank.Quantile(sorted, 0.35)
	return middle + max(0.02, 3*(middle-low))
}

func mean3(v [channels]float64) float64 { return (v[red] + v[green] + v[blue]) * third }

// judge decides anew which pixels of the middle show plain wax, no brighter than
// brightest, and reports whether that changed. Hues no farther off than hueFloor are
// the wax's.
func judge(core []corePixel, fit *dome, residuals [][channels]float64, sums *domeSums, brightest, hueFloor float64) (changed bool) {
	const every = 5 // enough for a median
	var used [channels][]float64
	for k := range used {
		used[k] = make([]float64, 0, 1+len(core)/every)
	}
	for i := range core {
		p := &core[i]
		d := p.ratio
		for c := range d {
			d[c] -= fit.at(&p.term, c)
		}
		residuals[i] = hues(d)
		if i%every == 0 && p.use == useRead {
			for k, v := range residuals[i] {
				used[k] = append(used[k], math.Abs(v))
			}
		}
	}
	var sigma [channels]float64
	floor := [channels]float64{0.001, hueFloor, hueFloor}
	for k := range sigma {
		sigma[k] = max(floor[k], rank.Sigma(used[k]))
	}
	for i := range residuals {
		r := &residuals[i]
		// A highlight adds white light, and hardly changes a difference of channels.
		hue := max(math.Abs(r[1]), math.Abs(r[2]))
		before := core[i].use
		otherHue := math.Abs(r[1]) > 6*sigma[1] || math.Abs(r[2]) > 6*sigma[2]
		switch {
		case mean3(core[i].ratio) > brightest:
			core[i].use = useHighlight
		case otherHue && hue > math.Abs(r[0]):
			core[i].use = useForeign
		case r[0] > 3*sigma[0]:
			core[i].use = useHighlight
		case r[0] < -4*sigma[0]:
			core[i].use = useShadow
		case otherHue:
			core[i].use = useForeign
		default:
			core[i].use = useRead
		}
		switch after := core[i].use; {
		case after == before:
			continue
		case after == useRead:
			sums.add(&core[i], 1)
		case before == useRead:
			sums.add(&core[i], -1)
		}
		changed = true
	}
	return changed
}

// leastHue is how far wax of one colour departs from the hue of its dome, relative to card
// white.
const leastHue = 0.006

// hueRounding is how far the rounding of the file's code puts the hue of a whole block
// off, relative to card white: that is no bit of another colour.
func (m *meter) hueRounding(core []corePixel) float64 {
	var light, ratio [channels]float64
	for i := range core {
		at := m.pictureIndex(core[i].index)
		for c := range light {
			light[c] += float64(m.p.Light[c][at])
			ratio[c] += core[i].ratio[c]
		}
	}
	for c := range light {
		light[c] /= float64(len(core))
		ratio[c] /= float64(len(core))
	}
	white := mean3(light) / max(mean3(ratio), 1e-3)
	cov := m.p.Code.ErrorAt(light, nil)
	redGreen := cov[red][red] + cov[green][green] - 2*cov[red][green]
	blueGreen := cov[blue][blue] + cov[green][green] - 2*cov[blue][green]
	const ofDetail = 1.5 // the steps of a block's detail are larger than those of its mean
	return ofDetail * math.Sqrt(max(redGreen, blueGreen, 0)) / max(white, 1e-3)
}

// widen takes the soft border of real highlights, or of bits, out too. Single
// pixels are noise.
func (m *meter) widen(core []corePixel, b *blob, kind use) {
	if !slices.ContainsFunc(core, func(p corePixel) bool { return p.use == kind }) {
		return
	}
	index := make([]int32, len(core))
	for k := range core {
		index[k] = core[k].index
	}
	x0, y0, x1, y1 := extentOf(index, m.f.w)
	w, h := x1-x0+1, y1-y0+1
	// Where in the core a pixel stands, counted from 1; 0 for one that is not in it.
	at := make([]int32, w*h)
	place := func(i int32) (x, y int) { y = int(i) / m.f.w; return int(i) - y*m.f.w - x0, y - y0 }
	for k, i := range index {
		x, y := place(i)
		at[y*w+x] = int32(k) + 1
	}
	around := func(i int32, reach int, f func(k int)) {
		x, y := place(i)
		for j := max(0, y-reach); j <= min(h-1, y+reach); j++ {
			for _, k := range at[j*w+max(0, x-reach) : j*w+min(w, x+reach+1)] {
				if k > 0 {
					f(int(k) - 1)
				}
			}
		}
	}
	var seeds []int32
	for k := range core {
		alike := 0
		if core[k].use == kind {
			around(core[k].index, 1, func(k int) {
				if core[k].use == kind {
					alike++
				}
			})
		}
		if alike >= 5 {
			seeds = append(seeds, core[k].index)
		}
	}
	reach := max(1, int(b.diameter()/25))
	for _, i := range seeds {
		around(i, reach, func(k int) { core[k].use = kind })
	}
}

// leastPixels is how many pixels a dome is fitted to at least.
const leastPixels = 24

// solveDome is the least squares dome over the pixels read, at least so many, and the (0, 0)
// element of the inverse normal matrix, the variance of c0 for unit noise.
func solveDome(core []corePixel, least int) (fit dome, inverse float64, ok bool) {
	sums := sumsOf(core)
	return sums.solve(least)
}

// domeSums are the normal equations of a dome over the pixels read, the upper triangle
// and the right-hand sides.
type domeSums struct {
	upper [domeTerms][domeTerms]float64
	side  [domeTerms][channels]float64
	n     int
}

func sumsOf(core []corePixel) (s domeSums) {
	for i := range core {
		if core[i].use == useRead {
			s.add(&core[i], 1)
		}
	}
	return s
}

// add takes a pixel in, or out for a weight of -1.
func (s *domeSums) add(p *corePixel, weight float64) {
	s.n += int(weight)
	for a, ta := range p.term {
		ta *= weight
		for b := a; b < domeTerms; b++ {
			s.upper[a][b] += ta * p.term[b]
		}
		for c, v := range p.ratio {
			s.side[a][c] += ta * v
		}
	}
}

// solve is solveDome for the pixels summed.
func (s *domeSums) solve(least int) (fit dome, inverse float64, ok bool) {
	if s.n < least {
		return fit, 0, false
	}
	normal := mat.NewSymDense(domeTerms, nil)
	right := mat.NewDense(domeTerms, channels, nil)
	for a := range domeTerms {
		for b := a; b < domeTerms; b++ {
			normal.SetSym(a, b, s.upper[a][b])
		}
		right.SetRow(a, s.side[a][:])
	}
	var factor mat.Cholesky
	if !factor.Factorize(normal) {
		return fit, 0, false
	}
	var solution mat.Dense
	var inv mat.SymDense
	if factor.SolveTo(&solution, right) != nil || factor.InverseTo(&inv) != nil {
		return fit, 0, false
	}
	for c := range channels {
		for k := range domeTerms {
			fit[c][k] = solution.At(k, c)
		}
	}
	return fit, inv.At(0, 0), true
}

// errors fills the covariance of the ratio:
//
//	Σ = N · Var(c0) · s  +  (U + d²) ratio ratio'  +  (κ c3)(κ c3)'  +  Q  +  H
//
// N is the scatter about the dome and s counts the pixels that share one
// error, since JPEG blurs noise over its blocks; U is the unevenness left on
// the card, and d what the shading of a drop departs from the dome by; κ c3 is the
// doubt of how the dome continues to its centre; Q is the rounding of the file's code
// (see picture.Code.ErrorAt); H is light of the lamp's colour that is left of the haze,
// or was taken too much.
func (m *meter) errors(r *domeReading, core []corePixel, fit *dome, inverse float64, chroma *[2]float64) {
	var scatter [channels][channels]float64
	var light [channels]float64
	var size, share [channels]float64 // of light and ratio, which may be negative
	n, clipped, crushed := 0.0, 0, 0
	for i := range core {
		p := &core[i]
		if p.use != useRead {
			continue
		}
		n++
		at := m.pictureIndex(p.index)
		clipped += int(m.p.Clipped[at])
		crushed += int(m.p.Crushed[at])
		var d [channels]float64
		for c := range d {
			d[c] = p.ratio[c] - fit.at(&p.term, c)
			light[c] += float64(m.p.Light[c][at])
			size[c] += math.Abs(float64(m.p.Light[c][at]))
			share[c] += math.Abs(p.ratio[c])
		}
		for a := range d {
			for b := range d {
				scatter[a][b] += d[a] * d[b]
			}
		}
	}
	r.clipped, r.crushed = float64(clipped)/(255*n), float64(crushed)/(255*n)
	var white, middle [channels]float64 // light of the card and of the drop here
	for c := range channels {
		middle[c] = light[c] / n
		white[c] = max(size[c]/max(share[c], 1e-4*n), 1e-3)
	}
	rounding := m.p.Code.ErrorAt(middle, chroma)
	const blockPx, kappa, misshaped = 8.0, 0.05, 0.0025
	block := blockPx / float64(m.p.Scale)
	shared := max(4, block*block)
	var total float64
	for a := range channels {
		for b := range channels {
			s := scatter[a][b] / (n - domeTerms)
			total += s
			r.covariance[a][b] = s*min(1, inverse*shared) +
				(m.uneven[a][b]+misshaped*misshaped)*r.ratio[a]*r.ratio[b] + kappa*kappa*fit[a][3]*fit[b][3] +
				rounding[a][b]/(white[a]*white[b]) + m.haze.doubt*m.haze.doubt/(m.card[a]*m.card[b])
		}
	}
	r.spread = math.Sqrt(max(0, total)) / channels
	for c, v := range middle {
		if v < crushedLight {
			r.covariance[c][c] += r.crushed * r.crushed * beyond * beyond
		}
	}
}

// A channel below crushedLight in a drop with pixels at zero was cut off by the
// picture's colour space: the true value lies beyond, by about this share of
// card white for strong dyes.
const (
	crushedLight = 0.012
	beyond       = 0.04
)

func (m *meter) pictureIndex(i int32) int {
	y := i / int32(m.f.w)
	return (m.f.y0+int(y))*m.p.W + m.f.x0 + int(i) - int(y)*m.f.w
}

func shares(uses []use) Rejected {
	var count [useRim + 1]float64
	for _, u := range uses {
		count[u]++
	}
	n := float64(max(1, len(uses)))
	return Rejected{Highlight: count[useHighlight] / n, Rim: count[useRim] / n, Shadow: count[useShadow] / n, Foreign: count[useForeign] / n}
}

// colour turns a ratio to the card into a Lab colour under D65: the card's own
// linear light times the ratio, so that a ratio of 1 is exactly the card.
func (m *meter) colour(r *domeReading) spectrum.Measured {
	lab := func(ratio [channels]float64) spectrum.Lab {
		x := ratio
		for c := range x {
			x[c] *= m.card[c]
		}
		if m.correction != nil {
			x = m.correction.Mixed(x)
		}
		return spectrum.LabOfLinear(x[red], x[green], x[blue])
	}
	out := spectrum.Measured{Lab: lab(r.ratio)}
	var slope [3][channels]float64
	const h = 1e-4
	for c := range channels {
		up, down := r.ratio, r.ratio
		up[c] += h
		down[c] -= h
		u, d := lab(up).Vector(), lab(down).Vector()
		for k := range 3 {
			slope[k][c] = (u[k] - d[k]) / (2 * h)
		}
	}
	for i := range 3 {
		for j := range 3 {
			for a := range channels {
				for b := range channels {
					out.Cov[i][j] += slope[i][a] * r.covariance[a][b] * slope[j][b]
				}
			}
		}
	}
	return out
}

// unevenness measures the covariance of what is left on bare card after
// flattening, over tiles about the size of a drop's middle. It is made robust
// by scaling with the median, since shadows lie on some tiles.
func unevenness(f *flattened, taken []bool, tile int, bright float64) (cov [channels][channels]float64) {
	var tiles [][channels]float64
	for y := 0; y+tile <= f.h; y += tile {
		for x := 0; x+tile <= f.w; x += tile {
			if mean, ok := tileMean(f, taken, x, y, tile, bright); ok {
				tiles = append(tiles, mean)
			}
		}
	}
	var sizes []float64
	sum := 0.0
	for _, t := range tiles {
		size := 0.0
		for a := range t {
			size += t[a] * t[a]
			for b := range t {
				cov[a][b] += t[a] * t[b] / float64(len(tiles))
			}
		}
		sizes = append(sizes, size)
		sum += size / float64(len(tiles))
	}
	if len(tiles) < 8 || sum == 0 {
		const assumed = 0.01 // too little bare card to measure it
		return [channels][channels]float64{{assumed * assumed, 0, 0}, {0, assumed * assumed, 0}, {0, 0, assumed * assumed}}
	}
	// The median of a square sum of three is near 0.79 of its mean (χ² of 3
	// degrees of freedom: 2.366 / 3).
	robust := min(1, rank.Median(sizes)/0.79/sum)
	for a := range cov {
		for b := range cov[a] {
			cov[a][b] *= robust
		}
	}
	return cov
}

// tileMean is the mean departure from 1 over a tile that is bare card.
func tileMean(f *flattened, taken []bool, x0, y0, tile int, bright float64) (mean [channels]float64, ok bool) {
	for y := y0; y < y0+tile; y++ {
		from, to := y*f.w+x0, y*f.w+x0+tile
		if slices.Contains(f.inside[from:to], false) || slices.Contains(taken[from:to], true) {
			return mean, false
		}
	}
	n := float64(tile * tile)
	for c := range mean {
		sum := 0.0
		for y := y0; y < y0+tile; y++ {
			for _, v := range f.ratio[c][y*f.w+x0:][:tile] {
				sum += float64(v)
			}
		}
		mean[c] = sum/n - 1
	}
	return mean, math.Abs(mean3(mean)) < 4*bright
}
