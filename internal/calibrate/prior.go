package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Weak prior knowledge, the same for every wax and dye.
const (
	// A curve's coefficients, as log K/S: about 0.005 for undyed wax, about
	// 0.2 for a dye at its reference dose, each within a factor of e³.
	waxLevel, dyeLevel, levelSpread = -5.3, -1.6, 3.0
	// log S·X of a drop: opaque or nearly so, within a factor of two.
	sxLevel, sxSpread = 2.5, 0.7
	// log of the gain at the surface: light from all sides, as Saunderson has
	// it, gives 0; light from 45° gives about 0.04.
	gainLevel, gainSpread = 0.02, 0.02
	// The bend β of K/S over absorption: that of crystals that scatter forwards,
	// unless the drops of all dyes together say otherwise.
	bendLevel, bendSpread = 0.25, 0.12
	// The exponent of a dye: proportional, unless its drops alone say otherwise.
	// The particles of a pigment crowd and clump, and far more so.
	exponentLevel, exponentSpread, pigmentExponentSpread = 1.0, 0.05, 0.15
	// Scattering falls as λ^-h; h of fine crystals is near 1, of coarse ones
	// near 0.
	hidingSlopeLevel, hidingSlopeSpread = 0.6, 0.4
	// log of a card's drops' thickness over that of usual drops.
	cardSpread = 0.05
	// log of the optical depth of a liquid drop per absorption: a drop of
	// S·X = 12 has 12/2 when set, and spreads a little as a liquid.
	liquidScaleLevel, liquidScaleSpread = 1.6, 0.8
	// log of the gain at the surface of a liquid drop, whose passage at 45° the
	// liquid layer already counts.
	liquidGainSpread = 0.02
	// log of absorption when liquid over that when set, of the wax and of a dye.
	waxRatioSpread, liquidRatioSpread = 0.3, 0.15
	// A pigment's scattering at its reference dose, log over that of the wax,
	// and how much faster than the wax's it falls.
	scatterLevelMean, scatterLevelSpread = -2.5, 1.5
	scatterSlopeSpread                   = 0.5
)

// prior is the Gaussian prior of the unknowns: its mean, and its precision as
// terms that add up. It couples no more than the unknowns of a dye, and lots of
// one dye.
type prior struct {
	mean      []float64
	precision []term
	logDet    float64 // of the precision
}

// term costs ½ value (θ_a - μ_a) (θ_b - μ_b), and once more as much the other way
// round when a is not b.
type term struct {
	a, b  int
	value float64
}

// newPrior builds the prior of a layout, lots after the lots they hang on. The
// smoothness is the precision of the second differences of a curve's coefficients.
func newPrior(l layout, smoothness float64) prior {
	p := prior{mean: make([]float64, l.size)}
	p.curve(0, waxLevel, smoothness)
	p.single(logSX, sxLevel, sxSpread)
	p.single(logGain, gainLevel, gainSpread)
	p.single(bend, bendLevel, bendSpread)
	p.single(hidingSlope, hidingSlopeLevel, hidingSlopeSpread)
	p.single(l.liquidScale, liquidScaleLevel, liquidScaleSpread)
	p.single(l.liquidGain, 0, liquidGainSpread)
	p.single(l.liquidRatio, 0, waxRatioSpread)
	for i := range l.cards {
		p.single(l.cardAt+i, 0, cardSpread)
	}
	for i := range l.told.Drops {
		p.single(l.ownAt+i, 0, thicknessSpread)
	}
	for i, d := range l.dyes {
		if l.hubs[i] >= 0 {
			continue
		}
		p.curve(d.at, dyeLevel, smoothness)
		spread := exponentSpread
		if d.scatter != absent {
			spread = pigmentExponentSpread
		}
		p.single(d.at+exponent, exponentLevel, spread)
		p.single(d.liquidRatio, 0, liquidRatioSpread)
		if d.scatter != absent {
			p.single(d.scatter+scatterLevel, scatterLevelMean, scatterLevelSpread)
			p.single(d.scatter+scatterSlope, 0, scatterSlopeSpread)
		}
	}
	for i, hub := range l.hubs {
		if hub >= 0 {
			p.lot(l.dyes[hub], l.dyes[i])
		}
	}
	return p
}

// single sets the prior of one unknown, if there is such.
func (p *prior) single(at int, level, spread float64) {
	if at == absent {
		return
	}
	p.mean[at] = level
	p.add(at, at, 1/(spread*spread))
	p.logDet -= 2 * math.Log(spread)
}

func (p *prior) add(a, b int, value float64) { p.precision = append(p.precision, term{a, b, value}) }

func (p *prior) curve(at int, level, smoothness float64) {
	block := mat.NewSymDense(knots, nil)
	for j := range knots {
		p.mean[at+j] = level
		block.SetSym(j, j, 1/(levelSpread*levelSpread))
	}
	second := [3]float64{1, -2, 1}
	for j := range knots - 2 {
		for r := range second {
			for c := r; c < len(second); c++ {
				block.SetSym(j+r, j+c, block.At(j+r, j+c)+smoothness*second[r]*second[c])
			}
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(block) {
		panic("calibrate: the prior of a curve is positive definite")
	}
	p.logDet += chol.LogDet()
	for r := range knots {
		for c := r; c < knots; c++ {
			if v := block.At(r, c); v != 0 {
				p.add(at+r, at+c, v)
			}
		}
	}
}

// half returns half the quadratic form of the prior at theta.
func (p prior) half(theta []float64) float64 {
	sum := 0.0
	for _, t := range p.precision {
		v := t.value * (theta[t.a] - p.mean[t.a]) * (theta[t.b] - p.mean[t.b])
		if t.a == t.b {
			v /= 2
		}
		sum += v
	}
	return sum
}

// gradient returns the gradient of half.
func (p prior) gradient(theta []float64) []float64 {
	g := make([]float64, len(theta))
	for _, t := range p.precision {
		g[t.a] += t.value * (theta[t.b] - p.mean[t.b])
		if t.a != t.b {
			g[t.b] += t.value * (theta[t.a] - p.mean[t.a])
		}
	}
	return g
}

// in returns the precision as a matrix.
func (p prior) in(e *elimination) sparse {
	m := e.zero()
	for _, t := range p.precision {
		*m.at(t.a, t.b) += t.value
	}
	return m
}
