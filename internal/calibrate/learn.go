package calibrate

import (
	"errors"
	"fmt"

	"setshade/internal/optics"
	"setshade/internal/wax"

	"gonum.org/v1/gonum/mat"
)

// ErrNothingToLearn is returned when no drop shows a dye.
var ErrNothingToLearn = errors.New("there is no set drop with dye to learn from")

// firstGuess is where the search for the weights begins.
var firstGuess = weights{smoothness: 2, noise: 0.3}

// Learn fits the wax and every dye in the samples together. It needs at least
// one dyed drop; undyed drops sharpen the wax. More doses of a dye sharpen its
// curve: with one drop the answer still comes, with a wide interval.
func Learn(w wax.Wax, samples []Sample) (*Model, error) {
	dyes := rangesOf(samples)
	if len(dyes) == 0 {
		return nil, ErrNothingToLearn
	}
	for _, s := range samples {
		if err := s.validate(); err != nil {
			return nil, fmt.Errorf("cannot learn: %w", err)
		}
	}
	surface := optics.SurfaceOf(w.RefractiveIndex)
	start := firstFit(samples, dyes, surface)
	chosen, at := weigh(samples, dyes, surface, start, firstGuess)
	return newModel(w, dyes, samples, chosen, at)
}

// firstFit fits the wax by its undyed drops, then each dye by its pure drops,
// several starts each, and returns the unknowns put together.
func firstFit(samples []Sample, dyes []DyeRange, surface optics.Surface) []float64 {
	undyed := pureSamples(samples, "")
	theta := newPrior(len(dyes), firstGuess.smoothness).mean
	base := newProblem(undyed, nil, surface, firstGuess).descend(theta[:waxUnknowns])
	copy(theta, base.theta)

	var waxKS [3]float64
	for _, s := range undyed {
		for c, v := range channelKS(s, surface) {
			waxKS[c] += v / float64(len(undyed))
		}
	}
	for d, dye := range dyes {
		pure := append(pureSamples(samples, dye.Name), undyed...)
		alone := newProblem(pure, dyes[d:d+1], surface, firstGuess)
		var best optimum
		for i, s := range starts(samples, dye, waxKS, surface) {
			from := append(append([]float64(nil), base.theta...), s...)
			if at := alone.descend(from); i == 0 || at.cost < best.cost {
				best = at
			}
		}
		copy(theta[offset(d):], best.theta[waxUnknowns:])
	}
	return theta
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

// newModel takes the covariance at the optimum and judges every drop.
func newModel(w wax.Wax, dyes []DyeRange, samples []Sample, chosen weights, at optimum) (*Model, error) {
	surface := optics.SurfaceOf(w.RefractiveIndex)
	p := newProblem(samples, dyes, surface, chosen)
	_, hessian := p.normal(at.theta)
	var chol mat.Cholesky
	if !chol.Factorize(hessian) {
		return nil, errors.New("the drops leave the fit without a unique answer; record more doses")
	}
	m := &Model{
		Wax: w.Name, RefractiveIndex: w.RefractiveIndex, Dyes: dyes,
		Smoothness: chosen.smoothness, NoiseDE00: chosen.noise, Converged: at.converged,
		theta: at.theta, covariance: mat.NewSymDense(len(at.theta), nil),
	}
	if err := chol.InverseTo(m.covariance); err != nil {
		var condition mat.Condition
		if !errors.As(err, &condition) {
			return nil, err
		}
		m.Converged = false
	}
	for _, d := range p.drops {
		m.Drops = append(m.Drops, d.judge(p.labOf(at.theta, d)))
	}
	return m, nil
}
