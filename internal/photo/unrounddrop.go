package photo

import (
	"math"

	"setshade/internal/picture"
)

// The part of a drop whose blocks tell its chroma, as a share of its radius: wider
// than what is read, since a thinner rim still has about the middle's chroma for its
// luma. Of a drop on two grounds little lies on each, and more is taken.
const (
	unroundCore = 0.75
	unroundHalf = 0.85
)

// Standard deviations of how the chroma of a drop departs, towards its rim, from that
// of its middle at the same luma, in code values; and for each code value of chroma
// between card and drop, through which a thinning rim goes.
const (
	tilting, tiltingByChroma   = 0.3, 0.02
	thinning, thinningByChroma = 0.5, 0.1
)

// cameraRounding is the variance of the whole numbers that the camera rounds chroma to,
// before the file takes its blocks of them: no block tells of it, and over card or wax
// of one colour all pixels are rounded alike.
const cameraRounding = 1.0 / 12

// doubtCardChroma counts the camera's rounding of card white among what is left on it.
func (m *meter) doubtCardChroma() {
	white := [channels]float64{m.level, m.level, m.level}
	rounding := m.p.Code.ErrorAt(white, &[2]float64{cameraRounding, cameraRounding})
	for a := range channels {
		for b := range channels {
			m.uneven[a][b] += rounding[a][b] / (m.level * m.level)
		}
	}
}

// ground is the part of a drop that lies on one colour of card.
type ground struct {
	core []corePixel
	// luma is the mean over the wax, tone its mean chroma for a luma of one.
	luma float64
	tone [2]float64
}

// unroundDrops finds the chroma of each drop from the blocks of the file and gives it
// to the pixels that are read. shown is the light of card white as the camera showed
// it.
func (r *Reading) unroundDrops(m *meter, shown *surface, drops []placed) {
	if roundedChroma(r.picture) == nil {
		return
	}
	m.doubtCardChroma()
	for k := range drops {
		d := &drops[k]
		row := shown.row(d.Centre.Y+float64(m.f.y0), r.lightScale)
		var white [channels]float64
		for c := range white {
			white[c] = horner(&row[c], (d.Centre.X+float64(m.f.x0))/r.lightScale/shown.halfW-1)
		}
		r.unroundDrop(m, r.picture.Code.Space.Coded(white), d)
	}
}

func (r *Reading) unroundDrop(m *meter, card picture.Coded, d *placed) {
	wide := *m
	wide.core = unroundCore
	sides := []func(int32) bool{d.onWhite}
	if d.onBlack != nil {
		wide.core = unroundHalf
		sides = append(sides, d.onBlack)
	}
	var grounds []ground
	for _, on := range sides {
		g, ok := r.groundOf(&wide, &d.blob, on)
		if !ok {
			return
		}
		grounds = append(grounds, g)
	}
	pixels := r.dropPixels(&wide, &d.blob, grounds)
	found, ok := unround(r.picture, pixels, dropPrior(grounds, card, r.picture.Chroma.Step))
	if !ok {
		return
	}
	for n := range grounds {
		centre := n * domeTerms
		d.chroma[n] = &[2]float64{found.variance[picture.Cb][centre] + cameraRounding, found.variance[picture.Cr][centre] + cameraRounding}
	}
	at := 0
	for _, g := range grounds {
		for i := range g.core {
			if g.core[i].term[3] <= m.core*m.core && !cutOff(r.picture, pixels[at].index) {
				m.renew(r.picture, g.core[i].index, found.light(r.picture, &pixels[at]))
			}
			at++
		}
	}
}

// cutOff says that a channel of a pixel was cut off, so that its chroma does not follow
// its luma.
func cutOff(p *picture.Picture, i int) bool { return p.Crushed[i] > 0 || p.Clipped[i] > 0 }

// groundOf judges what of a drop on one ground is plain wax.
func (r *Reading) groundOf(wide *meter, b *blob, on func(int32) bool) (ground, bool) {
	core, _ := wide.coreOf(b, on)
	if _, _, _, ok := wide.fitDome(core, b, math.Inf(1)); !ok {
		return ground{}, false
	}
	g := ground{core: core}
	n := 0.0
	for i := range core {
		if core[i].use == useRead {
			coded := r.picture.CodedAt(wide.pictureIndex(core[i].index))
			g.luma += coded.Luma
			g.tone[picture.Cb] += coded.Chroma[picture.Cb]
			g.tone[picture.Cr] += coded.Chroma[picture.Cr]
			n++
		}
	}
	if g.luma <= 0 {
		return g, false
	}
	for c := range g.tone {
		g.tone[c] /= g.luma
	}
	g.luma /= n
	return g, true
}

// dropPixels sets out the pixels of the grounds, in order, and what lies between two
// grounds. The unknowns are those of a dome for each ground, of chroma at its mean
// luma.
func (r *Reading) dropPixels(wide *meter, b *blob, grounds []ground) []areaPixel {
	unknowns := domeTerms * len(grounds)
	var pixels []areaPixel
	taken := map[int32]bool{}
	for n, g := range grounds {
		for i := range g.core {
			p := &g.core[i]
			px := areaPixel{index: wide.pictureIndex(p.index), terms: make([]float64, unknowns)}
			px.spoilt = p.use != useRead || cutOff(r.picture, px.index)
			luma := r.picture.CodedAt(px.index).Luma
			for c := range px.guess {
				px.guess[c] = g.tone[c] * luma
			}
			for a, t := range p.term {
				px.terms[n*domeTerms+a] = t * luma / g.luma
			}
			pixels = append(pixels, px)
			taken[p.index] = len(grounds) > 1
		}
	}
	const contrast = 25 // code values of luma that tell one ground from the other
	if len(grounds) < 2 || grounds[0].luma-grounds[1].luma < contrast {
		return pixels
	}
	white, black := &grounds[0], &grounds[1]
	core, _ := wide.coreOf(b, nil)
	for i := range core {
		if taken[core[i].index] {
			continue
		}
		px := areaPixel{index: wide.pictureIndex(core[i].index), terms: make([]float64, unknowns)}
		share := (white.luma - r.picture.CodedAt(px.index).Luma) / (white.luma - black.luma)
		share = min(max(share, 0), 1)
		for c := range px.guess {
			px.guess[c] = (1-share)*white.tone[c]*white.luma + share*black.tone[c]*black.luma
		}
		px.terms[0], px.terms[domeTerms] = 1-share, share
		pixels = append(pixels, px)
	}
	return pixels
}

// dropPrior is the standard deviation of the unknowns before the blocks are asked.
func dropPrior(grounds []ground, card picture.Coded, step float64) []float64 {
	var prior []float64
	for _, g := range grounds {
		far := 0.0
		for c, tone := range g.tone {
			far = math.Hypot(far, tone*g.luma-card.Chroma[c])
		}
		tilt := tilting + tiltingByChroma*far
		prior = append(prior, step, tilt, tilt, thinning+thinningByChroma*far)
	}
	return prior
}

// renew gives a pixel of the window other light than the camera showed there.
func (m *meter) renew(shown *picture.Picture, index int32, light [channels]float64) {
	i, own := m.pictureIndex(index), light
	if m.correction != nil {
		own = m.correction.Straight(light)
	}
	for c := range own {
		if before := m.p.Light[c][i]; before != 0 {
			m.f.ratio[c][index] *= float32(own[c]) / before
		}
		shown.Light[c][i] = float32(light[c])
		m.p.Light[c][i] = float32(own[c])
	}
}
