package calibrate

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"setshade/internal/wax"

	"gonum.org/v1/gonum/mat"
)

// ErrNothingToLearn is returned when no drop shows a dye.
var ErrNothingToLearn = errors.New("there is no drop with dye to learn from")

// Option is something known beforehand of a shelf.
type Option func(*known)

type known struct {
	forms map[string]wax.Form
	lots  [][]string
}

// WithForms tells the forms of dyes by name: pigments and micas are learned as
// particles, which absorb and scatter; all others, and those not told, as
// dissolved.
func WithForms(forms map[string]wax.Form) Option { return func(k *known) { k.forms = forms } }

// WithLots tells which dyes are lots of one dye, each group by its names: they
// are learned together, as dyes that hardly differ in hue and somewhat in
// strength. A lot that no drop has shown is learned from the others.
func WithLots(groups ...[]string) Option { return func(k *known) { k.lots = groups } }

// Learn fits the wax and every dye in the samples together. It needs at least
// one dyed drop; undyed drops sharpen the wax. More doses of a dye sharpen its
// curve: with one drop the answer still comes, with a wide interval.
func Learn(w wax.Wax, samples []Sample, options ...Option) (*Model, error) {
	var k known
	for _, o := range options {
		o(&k)
	}
	dyes := rangesOf(samples, k)
	if len(dyes) == 0 {
		return nil, ErrNothingToLearn
	}
	for _, s := range samples {
		if err := s.validate(); err != nil {
			return nil, fmt.Errorf("cannot learn: %w", err)
		}
	}
	m, l := mediaOf(w.RefractiveIndex), layoutOf(samples, dyes)
	p := newProblem(samples, l, m, usual)
	chosen, at := p.weigh(firstFit(samples, l, m), usual)
	return p.model(w, samples, chosen, at)
}

// firstFit fits the wax by its undyed drops, then each dye by its pure drops,
// several starts each, and returns the unknowns put together.
func firstFit(samples []Sample, l layout, m media) []float64 {
	undyed := pureSamples(samples, "")
	theta := newPrior(l, usual.smoothness).mean
	bare := newLayout(nil, nil, l.liquid()).telling(l.told.usual())
	base := newProblem(undyed, bare, m, usual).descend(newPrior(bare, usual.smoothness).mean)
	copy(theta, base.theta[:waxUnknowns])

	var waxKS [3]float64
	for _, s := range undyed {
		for c, v := range channelKS(s, m) {
			waxKS[c] += v / float64(len(undyed))
		}
	}
	few := evenly(undyed, undyedForAStart)
	eachFit(len(l.ranges), func(d int) {
		dye := l.ranges[d]
		pure := append(pureSamples(samples, dye.Name), few...)
		alone := newProblem(pure, newLayout(l.ranges[d:d+1], nil, l.liquid()).telling(l.told.usual()), m, usual)
		from := append([]float64(nil), alone.prior.mean...)
		copy(from, base.theta[:waxUnknowns])
		var best optimum
		for i, s := range starts(samples, dye, waxKS, m) {
			copy(from[alone.dyes[0].at:], s)
			if at := alone.descendTo(from, 1e-3); i == 0 || at.cost < best.cost {
				best = at
			}
		}
		from = best.theta[alone.dyes[0].at:]
		copy(theta[l.dyes[d].at:], from[:dyeUnknowns])
		if to := l.dyes[d].scatter; to != absent {
			copy(theta[to:to+scatterUnknowns], best.theta[alone.dyes[0].scatter:])
		}
	})
	for d, hub := range l.hubs {
		if hub >= 0 {
			l.dyes[hub].correspond(l.dyes[d], func(from, into int) { theta[into] = theta[from] })
		}
	}
	return theta
}

// undyedForAStart is how many undyed drops hold the wax while one dye is fitted.
const undyedForAStart = 8

// evenly takes at most so many of what is listed, all over its order.
func evenly[T any](of []T, most int) []T {
	if len(of) <= most {
		return of
	}
	var out []T
	for i := range most {
		out = append(out, of[i*len(of)/most])
	}
	return out
}

// pureSamples returns the drops of one dye alone, or the undyed drops for "".
func pureSamples(samples []Sample, dye string) []Sample {
	var out []Sample
	for _, s := range samples {
		switch {
		case dye == "" && len(s.Recipe) == 0,
			dye != "" && len(s.Recipe) == 1 && s.Recipe[0].Dye == dye:
			out = append(out, s)
		}
	}
	return out
}

// model takes the covariance at the optimum and judges every drop.
func (p problem) model(w wax.Wax, samples []Sample, chosen weights, at optimum) (*Model, error) {
	doubted := p.doubted(chosen)
	_, hessian := doubted.normal(at.theta)
	factor := hessian.copy()
	if !factor.factorize() {
		return nil, errors.New("the drops leave the fit without a unique answer; record more doses")
	}
	m := &Model{
		Wax: w.Name, RefractiveIndex: w.RefractiveIndex, Dyes: p.ranges,
		Smoothness: chosen.smoothness, NoiseDE00: chosen.noise, LiquidNoiseDE00: chosen.liquidNoise,
		layout: p.layout, media: p.media, usualCard: usualCard(samples), seenThick: slices.ContainsFunc(samples, func(s Sample) bool { return s.Thick }),
		theta: at.theta, covariance: factor.inverse(),
	}
	m.Converged = at.converged && hessian.norm()*mat.Norm(m.covariance, 1) < mat.ConditionTolerance
	m.doubtLight(doubted, samples)
	m.doubtHiding(seenDark(samples))
	m.doubtWeighing()
	for _, d := range p.weighed(chosen).drops {
		m.Drops = append(m.Drops, d.judge(p.labOf(at.theta, d)))
	}
	return m, nil
}

// What drops tell of log S·X at most, as a standard deviation: they seem to tell more,
// but only as far as the film's theory holds for the last per cent of the light.
// hidingDoubt is for drops over white card alone, filmedDoubt where drops over black, or
// of clearly different thickness, show the hiding itself. Chosen by the coverage of thick
// pieces, learned from thin drops, in scenes of radiative transfer.
const hidingDoubt, filmedDoubt = 0.12, 0.05

// doubtHiding widens what is known of log S·X to a doubt, and with it whatever moves with
// it: with c the column of S·X and v its variance,
//
//	Σ += (doubt² - v) / v² · c cᵀ
//
// Cards that stray further from each other than cards do make the hiding that was taken
// from them as doubtful as they stray. Where thickness was told, its own errors are
// doubt enough.
func (m *Model) doubtHiding(seenDark bool) {
	doubt := hidingDoubt
	switch {
	case seenDark || m.layout.told.Varied:
		doubt = filmedDoubt
	case m.layout.told.UsualMM > 0:
		return
	default:
		for i := range m.layout.cards {
			doubt = max(doubt, math.Abs(m.theta[m.layout.cardAt+i]))
		}
	}
	v := m.covariance.At(logSX, logSX)
	if v >= doubt*doubt {
		return
	}
	c := mat.NewVecDense(m.layout.size, nil)
	for i := range m.layout.size {
		c.SetVec(i, m.covariance.At(i, logSX))
	}
	m.covariance.SymRankOne(m.covariance, (doubt*doubt-v)/(v*v), c)
}
