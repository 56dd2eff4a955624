package calibrate

import "math"

// evidence is Laplace's approximation to the log probability of the drops,
// all unknowns integrated out:
//
//	log Z = -cost(θ̂) - ½ Σ log|Cov_i| + ½ log|P| - ½ log|H|
//
// up to a constant, with P the precision of the prior and H the Hessian of the
// cost at its minimum θ̂ (MacKay 1992, eq. 4.4).
func (p problem) evidence(at optimum) float64 {
	_, hessian := p.normal(at.theta)
	if !hessian.factorize() {
		return math.Inf(-1)
	}
	z := -at.cost + 0.5*p.prior.logDet - 0.5*hessian.logDet()
	for _, d := range p.drops {
		z -= 0.5 * d.logDet
	}
	return z
}

// The weights are searched between these, on a grid of factors of √2.
const (
	leastSmoothness, mostSmoothness = 0.05, 200.0
	leastNoise, mostNoise           = 0.035, 8.0
)

// usual are the weights about which their priors stand, and where the search for
// them begins. Without priors a single drop of a dye may be explained as noise, with
// hardly any dye in it: the evidence of three numbers cannot tell.
var usual = weights{smoothness: 0.3, noise: 0.3, liquidNoise: 0.6}

// smoothnessSpread is the standard deviation of the log of the smoothness. Whole
// ladders in scenes of radiative transfer lead to 0.06 to 1, with a median of 0.3.
const smoothnessSpread = 1.2

// logPrior is the log of the prior density of the weights, up to a constant: log-normal
// for the smoothness, and exponential for a noise, which is densest where there is
// none. So noise has to be shown by the drops, and where they show none, the prior
// leaves the intervals alone (Simpson et al. 2017, "Penalising model component
// complexity", Statist. Sci. 32:1, section 3.3).
func (w weights) logPrior() float64 {
	smooth := math.Log(w.smoothness/usual.smoothness) / smoothnessSpread
	return -smooth*smooth/2 - w.noise/usual.noise - w.liquidNoise/usual.liquidNoise
}

// weighingDrops is how many drops choose the weights, at most: three numbers are told
// well enough by so many, and the time of the search grows with them.
const weighingDrops = 150

// weigh climbs the posterior of the weights, from those given, one factor at
// a time, and returns the best weights with the fit that belongs to them.
func (p problem) weigh(start []float64, w weights) (weights, optimum) {
	whole := p
	p.drops = evenly(p.drops, weighingDrops)
	type scored struct {
		weights
		optimum
		evidence float64
	}
	try := func(w weights, from []float64) scored {
		p := p.weighed(w)
		at := p.descendTo(from, 1e-4)
		return scored{w, at, p.evidence(at) + w.logPrior()}
	}
	best := try(w, start)
	for factor := 4.0; factor >= math.Sqrt2; factor = math.Sqrt(factor) {
		for improved := true; improved; {
			improved = false
			for _, next := range neighbours(best.weights, factor, p.layout.liquid()) {
				if s := try(next, best.theta); s.evidence > best.evidence+1e-3 {
					best, improved = s, true
					break
				}
			}
		}
	}
	return best.weights, whole.weighed(best.weights).descend(best.theta)
}

// neighbours are the weights one factor away; the noise of liquid drops is left
// alone where there are none.
func neighbours(w weights, factor float64, liquid bool) []weights {
	var out []weights
	for _, f := range []float64{factor, 1 / factor} {
		if n := w.noise * f; n >= leastNoise && n <= mostNoise {
			out = append(out, weights{w.smoothness, n, w.liquidNoise})
		}
		if s := w.smoothness * f; s >= leastSmoothness && s <= mostSmoothness {
			out = append(out, weights{s, w.noise, w.liquidNoise})
		}
		if n := w.liquidNoise * f; liquid && n >= leastNoise && n <= mostNoise {
			out = append(out, weights{w.smoothness, w.noise, n})
		}
	}
	return out
}
