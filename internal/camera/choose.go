package camera

import (
	"cmp"
	"math"
	"slices"

	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

// Fitted says how good a corrector is.
type Fitted struct {
	// Model is the form chosen, in plain words.
	Model string
	// Patches is how many patches were used.
	Patches int
	// MedianDE00 and WorstDE00 are what the fit leaves at the patches;
	// HeldOutDE00 is the median at patches held out of the fit.
	MedianDE00, WorstDE00, HeldOutDE00 float64
	// MixedDE00 is how far, as a root mean square, the mixing of channels moves
	// the patches, tones apart; 0 of a form without.
	MixedDE00 float64
}

// Untouched is how good nothing is: the camera taken at its word.
func Untouched() Fitted { return Fitted{Model: models[0].name} }

// leastGain is by which share a richer model must lower the error at patches held
// out to be taken.
const leastGain = 0.95

// Choose fits every model with each patch held out in turn, takes the one that
// predicts them best, and returns it fitted to all patches.
//
// A patch that the others predict badly is under wax or in a shadow; it is left
// out, and the choice made again.
func (f Fit) Choose(samples []Sample) (*Corrector, Fitted) {
	const leastPatches, bad, far = 8, 4.0, 5.0 // of dE00, and times the median
	k, fitted, heldOut := f.chosen(samples)
	limit := max(bad, far*fitted.HeldOutDE00)
	var good []Sample
	for i, e := range heldOut {
		if e <= limit {
			good = append(good, samples[i])
		}
	}
	if len(good) < len(samples) && len(good) >= leastPatches {
		k, fitted, _ = f.chosen(good)
	}
	return k, fitted
}

// Chosen is Choose with all samples taken to be what they are said to be.
func (f Fit) Chosen(samples []Sample) (*Corrector, Fitted) {
	k, fitted, _ := f.chosen(samples)
	return k, fitted
}

// chosen is the best model fitted to all samples, and the error at each with it held
// out.
func (f Fit) chosen(samples []Sample) (*Corrector, Fitted, []float64) {
	best := f.best(samples, len(samples))
	heldOut := f.heldOut(best, samples, len(samples))
	k := f.fit(best, samples)
	var left, moved []float64
	unmixed := *k
	unmixed.mixing = nil
	for i := range samples {
		left = append(left, f.Error(k, &samples[i]))
		moved = append(moved, spectrum.DE00(k.Colour(&samples[i], f.White), unmixed.Colour(&samples[i], f.White)))
	}
	return k, Fitted{
		Model: best.name, Patches: len(samples),
		MedianDE00: rank.Median(left), WorstDE00: slices.Max(left), HeldOutDE00: rank.Median(slices.Clone(heldOut)), MixedDE00: rms(moved),
	}, heldOut
}

// best is the model that predicts samples best when they are held out in so many
// parts.
func (f Fit) best(samples []Sample, parts int) (best model) {
	score := math.Inf(1)
	for _, m := range models {
		if _, free := m.size(); len(samples)*3 < 2*free {
			continue
		}
		if s := rms(f.heldOut(m, samples, parts)); s < leastGain*score {
			best, score = m, s
		}
	}
	return best
}

// heldOut are the errors at samples that a fit to the others leaves: every
// parts-th sample is held out together.
func (f Fit) heldOut(m model, samples []Sample, parts int) []float64 {
	errors := make([]float64, len(samples))
	for part := range parts {
		var others []Sample
		for i, s := range samples {
			if i%parts != part {
				others = append(others, s)
			}
		}
		k := f.fit(m, others)
		for i := part; i < len(samples); i += parts {
			errors[i] = f.Error(k, &samples[i])
		}
	}
	return errors
}

// Foretold are the colours of the samples, each read by a corrector that it took no
// part in, neither in its fit nor in the choice of its form; the form is chosen anew
// from the others, held out in so many parts.
func (f Fit) Foretold(samples []Sample, parts int) []spectrum.Lab {
	var out []spectrum.Lab
	for i := range samples {
		others := slices.Concat(samples[:i], samples[i+1:])
		out = append(out, f.fit(f.best(others, parts), others).Colour(&samples[i], f.White))
	}
	return out
}

// Error is what a corrector leaves at a sample, in dE00.
func (f Fit) Error(k *Corrector, s *Sample) float64 {
	return spectrum.DE00(k.Colour(s, f.White), spectrum.LabOfLinear(s.target[0], s.target[1], s.target[2]))
}

// Farthest are the indices, rising, of so many samples that a corrector leaves farthest
// off: those that Choose left out of its fit.
func (f Fit) Farthest(k *Corrector, samples []Sample, n int) []int {
	order := make([]int, len(samples))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(f.Error(k, &samples[b]), f.Error(k, &samples[a]))
	})
	slices.Sort(order[:n])
	return order[:n]
}

func rms(values []float64) float64 {
	return math.Sqrt(dot(values, values) / float64(max(1, len(values))))
}
