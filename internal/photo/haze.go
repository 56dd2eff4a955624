package photo

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/plane"
	"setshade/internal/rank"
)

// haze is the light that the satin surface of drops mirrors all round a highlight, as
// a share of a perfect white. It lies over the wax's own light without an edge, so no
// pixel shows where it ends. It has the lamp's colour, and drops of one photograph
// that are shaped alike have it alike, whatever their dye (the dichromatic model,
// Shafer 1985, Color Res. Appl. 10:210, from memory): what a dark drop shows of it lies
// over a pale one too.
//
// It is taken to be a lobe about the lean of the surface that mirrors the lamp, with
// lean l as the dome has it (ρX, ρY):
//
//	h(l) = peak · exp(-|l - toward|² / 2 width²)
type haze struct {
	peak   float64
	toward plane.Point
	width  float64
	// gain is how much better it tells the drops than no haze does, as a log
	// likelihood.
	gain float64
	// doubt is the standard deviation of the added light that may be left, or taken too
	// much, in the middle of drops: alike in all of a photograph.
	doubt float64
}

// The added light that is left where no highlight is seen, and the share of a haze
// that its lobe is wrong by, as standard deviations. Chosen by the coverage of the
// true colours of drops in scenes of radiative transfer.
const (
	leftLight = 0.0008
	leftShare = 0.2
)

func (h haze) at(lean plane.Point) float64 {
	if h.peak == 0 {
		return 0
	}
	return h.peak * h.lobe(lean)
}

func (h haze) lobe(lean plane.Point) float64 {
	d := lean.Minus(h.toward)
	return math.Exp(-(d.X*d.X + d.Y*d.Y) / (2 * h.width * h.width))
}

// clear takes the haze off the middle of a drop.
func (m *meter) clear(core []corePixel) {
	for i := range core {
		h := m.haze.at(plane.Point{X: core[i].term[1], Y: core[i].term[2]})
		for c := range channels {
			core[i].ratio[c] -= h / m.card[c]
		}
	}
}

// seekHaze finds the haze of a photograph by all its drops.
func (m *meter) seekHaze(drops []placed) haze {
	var s surfaces
	var highlights []glint
	var pixels []glossPixel
	for k := range drops {
		pixels = m.glossOf(&drops[k], pixels[:0])
		p := m.leansOf(pixels)
		if m.petalOn(&p) || m.isCovered(&drops[k].around) {
			continue
		}
		highlights = append(highlights, glintOf(pixels))
		if p.weigh() {
			s.drops = append(s.drops, p)
		}
	}
	var h haze
	toward, shown := mirrored(highlights)
	for again := 0; shown && len(s.drops) > 0 && again < 3; again++ {
		s.straighten()
		if h = s.lobeAbout(toward); !s.leaveOut(h) {
			break
		}
	}
	h.doubt = math.Hypot(h.doubt, leftLight)
	return h
}

// glossPixel is a pixel of a drop between its centre and near its rim.
type glossPixel struct {
	lean  plane.Point
	rho   float64
	light [channels]float64 // as a share of white
}

// nearRim is how far out highlights are looked for, in radii.
const nearRim = 0.85

// glossOf appends enough pixels of a drop to know its highlight and its haze by.
func (m *meter) glossOf(p *placed, out []glossPixel) []glossPixel {
	const enough = 8000
	b := &p.blob
	radius, within := b.diameter()/2, b.RadiusSquared()
	for k := 0; k < len(b.pixels); k += 1 + len(b.pixels)/enough {
		i := b.pixels[k]
		at := centreAt(i, m.f.w)
		rho2 := within(at)
		if rho2 >= nearRim*nearRim || p.onWhite != nil && !p.onWhite(i) {
			continue
		}
		rho := math.Sqrt(rho2)
		g := glossPixel{lean: at.Minus(b.Centre).Times(rho / radius), rho: rho}
		for c := range g.light {
			g.light[c] = float64(m.f.ratio[c][i]) * m.card[c]
		}
		out = append(out, g)
	}
	return out
}

// glint is where a drop is brighter than elsewhere as far from its middle.
type glint struct {
	lean   plane.Point // weighed by the light
	weight float64
	shown  bool
}

func glintOf(pixels []glossPixel) (g glint) {
	const rings, shaded, brighter, most, leastShare = 17, 1.06, 0.03, 0.2, 0.005
	const enough = 2000 // for medians
	var ring [rings][]float64
	ringOf := func(p *glossPixel) int { return int(p.rho * (rings / nearRim)) }
	for i := 0; i < len(pixels); i += 1 + len(pixels)/enough {
		r := ringOf(&pixels[i])
		ring[r] = append(ring[r], mean3(pixels[i].light))
	}
	var usual [rings]float64
	for r, values := range ring {
		if len(values) > 0 {
			usual[r] = rank.Median(values)
		}
	}
	n := 0.0
	for i := range pixels {
		p := &pixels[i]
		if over := mean3(p.light) - shaded*usual[ringOf(p)] - brighter; over > 0 {
			over = min(over, most) // a clipped one is no brighter
			g.lean = g.lean.Plus(p.lean.Times(over))
			g.weight += over
			n++
		}
	}
	g.shown = n > leastShare*float64(len(pixels))
	return g
}

// mirrored is the lean that mirrors the lamp, if half of the drops or more show it.
func mirrored(glints []glint) (toward plane.Point, ok bool) {
	weight, shown := 0.0, 0
	for _, g := range glints {
		toward = toward.Plus(g.lean)
		weight += g.weight
		if g.shown {
			shown++
		}
	}
	if weight == 0 || 2*shown < len(glints) {
		return plane.Point{}, false
	}
	return toward.Times(1 / weight), true
}

// leans are the middle of a drop sorted by its lean: the means over cells.
type leans struct {
	term  [][domeTerms]float64
	light [][channels]float64
	read  []bool
	// steps is what the steps of the file's luma leave, by channel, as a standard
	// deviation.
	steps [channels]float64
	// variance is that of a cell about dome and haze, by channel.
	variance [channels]float64
	// onto is the inverse of the dome's normal matrix over the cells read.
	onto mat.SymDense
	// beyond is the light that no dome tells, by channel.
	beyond [channels][]float64
}

func (l *leans) lean(i int) plane.Point { return plane.Point{X: l.term[i][1], Y: l.term[i][2]} }

func (m *meter) leansOf(pixels []glossPixel) (out leans) {
	const across, leastPixels = 12, 3
	reach := m.core * m.core
	var sums [across * across]struct {
		term  [domeTerms]float64
		light [channels]float64
		n     float64
	}
	cell := func(v float64) int { return min(max(int((v/reach+1)/2*across), 0), across-1) }
	for _, p := range pixels {
		if p.rho > m.core {
			continue
		}
		s := &sums[cell(p.lean.Y)*across+cell(p.lean.X)]
		s.n++
		for k, t := range [domeTerms]float64{1, p.lean.X, p.lean.Y, p.rho * p.rho} {
			s.term[k] += t
		}
		for c, v := range p.light {
			s.light[c] += v
		}
	}
	var bright []float64
	for _, s := range sums {
		if s.n < leastPixels {
			continue
		}
		for k := range s.term {
			s.term[k] /= s.n
		}
		for c := range s.light {
			s.light[c] /= s.n
		}
		out.term, out.light = append(out.term, s.term), append(out.light, s.light)
		bright = append(bright, mean3(s.light))
	}
	out.read = make([]bool, len(bright))
	if len(bright) > 0 {
		limit := highlightLimit(bright)
		for i, v := range bright {
			out.read[i] = v <= limit
		}
	}
	out.steps = m.stepsAt(out.middling())
	return out
}

// stepsAt is what the steps of the file's luma leave at a light, both as a share of
// white.
func (m *meter) stepsAt(light [channels]float64) [channels]float64 {
	for c := range light {
		light[c] *= m.level
	}
	steps := m.p.Code.LumaErrorAt(light)
	for c := range steps {
		steps[c] /= m.level
	}
	return steps
}

// middling is the mean light of the cells read.
func (l *leans) middling() (mean [channels]float64) {
	n := 0.0
	for i, light := range l.light {
		if l.read[i] {
			n++
			for c, v := range light {
				mean[c] += (v - mean[c]) / n
			}
		}
	}
	return mean
}

// weigh takes the variance of the cells read and the dome's normal matrix over them;
// false for too few.
func (l *leans) weigh() bool {
	// The rounding of dark codes, what wax departs from a dome by as a share of its
	// own light, and how many cells err for themselves: neighbours err alike.
	const rounding, uneven, alone = 0.0005, 0.004, 20
	normal := mat.NewSymDense(domeTerms, nil)
	n := 0.0
	for i, t := range l.term {
		if !l.read[i] {
			continue
		}
		n++
		for a := range domeTerms {
			for b := a; b < domeTerms; b++ {
				normal.SetSym(a, b, normal.At(a, b)+t[a]*t[b])
			}
		}
	}
	var factor mat.Cholesky
	if n < 4*domeTerms || !factor.Factorize(normal) {
		return false
	}
	for c, light := range l.middling() {
		// Luma errs in all channels alike, which then tell no more than one.
		size := rounding*rounding + uneven*uneven*light*light + channels*l.steps[c]*l.steps[c]
		if light < crushedLight {
			size = 1 // cut off by the colour space, and then haze does not add to it
		}
		l.variance[c] = size * n / alone
	}
	return factor.InverseTo(&l.onto) == nil
}

// beside is what is left of values over the cells when the best dome is taken away.
func (l *leans) beside(of func(i int) float64) []float64 {
	out := make([]float64, len(l.term))
	var side, dome [domeTerms]float64
	for i, t := range l.term {
		out[i] = of(i)
		if l.read[i] {
			for k := range t {
				side[k] += t[k] * out[i]
			}
		}
	}
	for a := range dome {
		for b := range dome {
			dome[a] += l.onto.At(a, b) * side[b]
		}
	}
	for i, t := range l.term {
		for k := range t {
			out[i] -= dome[k] * t[k]
		}
	}
	return out
}

// surfaces are the middles of all drops of a photograph.
type surfaces struct{ drops []leans }

func (s *surfaces) straighten() {
	for k := range s.drops {
		l := &s.drops[k]
		for c := range channels {
			l.beyond[c] = l.beside(func(i int) float64 { return l.light[i][c] })
		}
	}
}

// fit is the least-squares haze of a lobe's shape over all drops and channels: each
// has a dome of its own, and all have one peak.
func (s *surfaces) fit(h haze) haze {
	const usual = 0.01 // haze in the middle of a drop, as a standard deviation
	middle := h.lobe(plane.Point{})
	right, normal := 0.0, middle*middle/(usual*usual)
	for k := range s.drops {
		l := &s.drops[k]
		lobe := l.beside(func(i int) float64 { return h.lobe(l.lean(i)) })
		for c, v := range l.variance {
			for i, read := range l.read {
				if read {
					right += lobe[i] * l.beyond[c][i] / v
					normal += lobe[i] * lobe[i] / v
				}
			}
		}
	}
	h.peak = max(0, right/normal)
	h.gain = h.peak * right / 2
	h.doubt = middle / math.Sqrt(normal)
	return h
}

// lobeAbout fits lobes of several widths about the highlight and takes the width that is
// the mean of them, each weighed by how likely it is: where the cells hardly tell one
// from the other that is a middling one, and they differ by much in the middle of
// drops, which is left as doubt. No surface mirrors just a lobe: that is a share of it.
func (s *surfaces) lobeAbout(highlight plane.Point) haze {
	const step = 0.015
	var tried []haze
	best := 0.0
	for width := leastWidth; width < mostWidth; width += step {
		h := s.fit(haze{toward: highlight, width: width})
		best = max(best, h.gain)
		tried = append(tried, h)
	}
	sum, width, middle, square := 0.0, 0.0, 0.0, 0.0
	for _, h := range tried {
		likely, light := math.Exp(h.gain-best), h.at(plane.Point{})
		sum += likely
		width += likely * h.width
		middle += likely * light
		square += likely * light * light
	}
	h := s.fit(haze{toward: highlight, width: width / sum})
	spread := square/sum - middle*middle/(sum*sum)
	h.doubt = math.Sqrt(h.doubt*h.doubt + max(0, spread) + math.Pow(leftShare*h.at(plane.Point{}), 2))
	return h
}

// A narrower lobe does not reach the middle of a drop, a wider one cannot be told from
// the dome.
const leastWidth, mostWidth = 0.14, 0.305

// leaveOut leaves out cells brighter than dome and haze, where the highlight itself
// begins, and reports whether there were any.
func (s *surfaces) leaveOut(h haze) (changed bool) {
	const faint = 0.0005
	kept := s.drops[:0]
	for k := range s.drops {
		l := s.drops[k]
		lobe := l.beside(func(i int) float64 { return h.at(l.lean(i)) })
		var sizes []float64
		rest := make([]float64, len(lobe))
		for i := range rest {
			rest[i] = mean3([channels]float64{l.beyond[red][i], l.beyond[green][i], l.beyond[blue][i]}) - lobe[i]
			if l.read[i] {
				sizes = append(sizes, math.Abs(rest[i]))
			}
		}
		limit := max(faint, 3*1.4826*rank.Median(sizes))
		for i, v := range rest {
			if l.read[i] && v > limit {
				l.read[i], changed = false, true
			}
		}
		if l.weigh() {
			kept = append(kept, l)
		}
	}
	s.drops = kept
	return changed
}
