package calibrate

import (
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Explore draws so many sets of unknowns from the posterior, and keeps them with
// the model, so that Draws can be asked. Each is the best fit to drops and prior
// that have both been moved at random by what they may be wrong by:
//
//	θ_k = argmin ½ |P^½ (θ - μ - ξ)|² + Σ ρ(|L (f(θ) - y) + ε|²)
//
// which is exact where the model is linear, and where it is not lets the drops
// themselves bound what the derivative does not know of (Oliver, He and Reynolds
// 1996, "Conditioning permeability fields to pressure data", ECMOR V; Bardsley et
// al. 2014, "Randomize-then-optimize", SIAM J. Sci. Comput. 36:A1895, without
// its last weighing). A fit each, so twenty of them take some seconds on a large
// shelf. The samples are those the model was learned from; the same seed gives
// the same draws.
func (m *Model) Explore(samples []Sample, count int, seed uint64) {
	random := rand.New(rand.NewPCG(seed, 36))
	p := newProblem(samples, m.layout, m.media, m.weights().doubted())
	root := p.prior.in(p.order)
	if !root.factorize() {
		panic("calibrate: a prior is proper")
	}
	usual := p.prior.mean
	moved := make([]problem, count)
	for k := range moved {
		off := make([]float64, len(usual))
		for i := range off {
			off[i] = random.NormFloat64()
		}
		root.backward(off)
		p.prior.mean = floats.AddTo(off, usual, off)
		p.drops = slices.Clone(p.drops)
		for i := range p.drops {
			for c := range 3 {
				p.drops[i].moved[c] = random.NormFloat64()
			}
		}
		moved[k] = p
	}
	m.ensemble = make([][]float64, count)
	eachFit(count, func(k int) { m.ensemble[k] = moved[k].descendTo(m.theta, 1e-3).theta })
}

// Explored reports whether the model keeps draws of its unknowns.
func (m *Model) Explored() bool { return len(m.ensemble) > 0 }

// Draws returns so many colours that a recipe may have, by turns from every set
// of unknowns that Explore found, carried through the whole model and not
// through its derivative, and to each the spread of drops. Where a prediction
// leaves what was tested, Predict's covariance is a poor guide, and these are a
// better one. A model that has not been explored panics; other errors are those
// of Predict.
func (m *Model) Draws(recipe wax.Recipe, view View, count int, seed uint64) ([]spectrum.Lab, error) {
	if !m.Explored() {
		panic("calibrate: Draws before Explore")
	}
	f, err := m.respond(recipe, view)
	if err != nil {
		return nil, err
	}
	chol, ok := spectrum.Factored(m.dropSpread(recipe, f, view))
	if !ok {
		return nil, m.noColour(recipe)
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	piece := m.pieceOf(recipe, view)
	centres := make([]spectrum.Lab, len(m.ensemble))
	for k, theta := range m.ensemble {
		film := m.layout.film(theta, piece, m.media)
		centres[k] = spectrum.D65.Lab(film.outer())
	}
	random := rand.New(rand.NewPCG(seed, 37))
	out := make([]spectrum.Lab, count)
	for i := range out {
		var off mat.VecDense
		off.MulVec(&lower, mat.NewVecDense(3, []float64{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}))
		at := centres[i%len(centres)]
		out[i] = spectrum.Lab{L: at.L + off.AtVec(0), A: at.A + off.AtVec(1), B: at.B + off.AtVec(2)}
	}
	return out, nil
}
