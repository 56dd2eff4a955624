package calibrate

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Pot is a batch whose doses are known only so far, after a drop of it was
// measured: doses and dyes with what that drop told of both.
type Pot struct {
	// Recipe holds the most likely doses.
	Recipe wax.Recipe
	// DoseSpread are the standard errors of the log doses, in the order of the
	// recipe: 0.05 is 5 %.
	DoseSpread []float64
	// ExplainedDE00 is how far the measured colour stays from the one that the
	// most likely doses have.
	ExplainedDE00 float64
	// LogEvidence is the log of how likely the drop's colour was before it was
	// seen, up to a constant that is the same for all recipes and spreads.
	LogEvidence float64

	model *Model // its unknowns moved by the drop
	// joint is the covariance of the unknowns, then of the log doses.
	joint *mat.SymDense
}

// Drip is a measured drop of a batch.
type Drip struct {
	// Recipe is what should be in the batch, and DoseSpread the standard error
	// of every log dose before the drop is seen, above 0.
	Recipe     wax.Recipe
	DoseSpread float64
	// Strayed are the places in the recipe of dyes whose log dose has the standard
	// error StrayedSpread instead, above 0.
	Strayed       []int
	StrayedSpread float64
	View          View
	Colour        spectrum.Measured
}

// sightings bounds the steps of Sight; three are usual.
const sightings = 20

// Sight updates what is known of a batch, and of the dyes in it, by one drop. It
// is the iterated Kalman update: with x the unknowns and the log doses, P their
// covariance, H the derivative of the colour y at x, and R the error of a drop,
//
//	x' = x₀ + P Hᵀ (H P Hᵀ + R)⁻¹ (y - f(x) - H (x₀ - x)),   P' = P - P Hᵀ (H P Hᵀ + R)⁻¹ H P
//
// and the evidence that of y under its Gaussian before, at the last step
// (Bell and Cathey 1993, "The iterated Kalman filter update as a Gauss-Newton
// method", IEEE Trans. Autom. Control 38:294). The model itself is not changed.
func (m *Model) Sight(d Drip) (*Pot, error) {
	if !spreads(d.DoseSpread) || len(d.Strayed) > 0 && !spreads(d.StrayedSpread) {
		panic("calibrate: doses have a spread above 0")
	}
	x0, prior := m.beforeSight(d)
	return m.sight(d, x0, prior)
}

// spreads reports a standard error of a log dose.
func spreads(s float64) bool { return s > 0 && s <= farLevel }

// sight is Sight from a mean and a covariance of the unknowns and the log doses.
func (m *Model) sight(d Drip, x0 *mat.VecDense, prior *mat.SymDense) (*Pot, error) {
	if err := m.answers(d.Recipe, d.View); err != nil {
		return nil, err
	}
	if !d.Colour.Lab.IsPlausible() || !spectrum.IsCovariance(d.Colour.Cov) {
		return nil, errors.New("the drop has no colour, or an error of it, that can be")
	}
	pot, x := m.potAt(x0, d.Recipe), mat.VecDenseCopyOf(x0)
	var gain, h mat.Dense
	var evidence float64
	for range sightings {
		f, err := pot.model.respond(pot.Recipe, d.View)
		if err != nil {
			return nil, err
		}
		h = *pot.slope(f)
		var ph, s mat.Dense
		ph.Mul(prior, h.T())
		s.Mul(&h, &ph)
		spread := m.dropSpread(pot.Recipe, f, d.View)
		miss := mat.NewVecDense(3, nil)
		for r := range 3 {
			for c := range 3 {
				s.Set(r, c, s.At(r, c)+spread[r][c]+d.Colour.Cov[r][c])
			}
			miss.SetVec(r, d.Colour.Lab.Vector()[r]-f.lab.Vector()[r])
		}
		var inverse mat.Dense
		if err := inverse.Inverse(&s); err != nil {
			return nil, fmt.Errorf("this drop tells nothing of its doses (%w)", err)
		}
		gain.Reset()
		gain.Mul(&ph, &inverse)
		var back, ahead, next mat.VecDense
		back.SubVec(x0, x)
		ahead.MulVec(&h, &back)
		miss.SubVec(miss, &ahead)
		evidence = -(mat.Inner(miss, &inverse, miss) + math.Log(mat.Det(&s))) / 2
		next.MulVec(&gain, miss)
		next.AddVec(x0, &next)
		back.SubVec(&next, x)
		x.CopyVec(&next)
		if s := mat.Norm(x, 2); math.IsNaN(s) || math.IsInf(s, 0) {
			return nil, m.noColour(d.Recipe)
		}
		pot = m.potAt(x, d.Recipe)
		if mat.Norm(&back, math.Inf(1)) < 1e-6 {
			break
		}
	}
	pot.know(prior, &gain, &h)
	lab, err := pot.model.Lab(pot.Recipe, d.View)
	if err != nil {
		return nil, err
	}
	if math.IsNaN(evidence) || math.IsInf(evidence, 0) {
		return nil, m.noColour(d.Recipe)
	}
	pot.LogEvidence = evidence
	pot.ExplainedDE00 = spectrum.DE00(lab, d.Colour.Lab)
	return pot, nil
}

// beforeSight is the mean and the covariance of the unknowns and the log doses
// before the drop is seen.
func (m *Model) beforeSight(d Drip) (*mat.VecDense, *mat.SymDense) {
	n, k := m.layout.size, len(d.Recipe)
	prior := mat.NewSymDense(n+k, nil)
	for r := range n {
		for c := r; c < n; c++ {
			prior.SetSym(r, c, m.covariance.At(r, c))
		}
	}
	x0 := mat.NewVecDense(n+k, append(append([]float64(nil), m.theta...), make([]float64, k)...))
	for i, p := range d.Recipe {
		x0.SetVec(n+i, math.Log(p.DoseGPerKg))
		prior.SetSym(n+i, n+i, d.DoseSpread*d.DoseSpread)
	}
	for _, i := range d.Strayed {
		prior.SetSym(n+i, n+i, d.StrayedSpread*d.StrayedSpread)
	}
	return x0, prior
}

// know sets the covariance after the drop, P - K (H P) with the gain K.
func (p *Pot) know(prior *mat.SymDense, gain, h *mat.Dense) {
	size, _ := prior.Dims()
	var seen, joint mat.Dense
	seen.Mul(h, prior)
	joint.Mul(gain, &seen)
	after := mat.NewSymDense(size, nil)
	for r := range size {
		for c := r; c < size; c++ {
			after.SetSym(r, c, prior.At(r, c)-(joint.At(r, c)+joint.At(c, r))/2)
		}
	}
	p.setJoint(after)
}

// potAt is the batch with these unknowns and log doses.
func (m *Model) potAt(x *mat.VecDense, recipe wax.Recipe) *Pot {
	n := m.layout.size
	moved := *m
	moved.theta, moved.ensemble = append([]float64(nil), x.RawVector().Data[:n]...), nil
	p := &Pot{model: &moved}
	for i, part := range recipe {
		dose := math.Exp(min(x.AtVec(n+i), math.Log(wax.MaxDoseGPerKg)))
		p.Recipe = append(p.Recipe, wax.Part{Dye: part.Dye, DoseGPerKg: dose})
	}
	return p
}

// slope is the derivative of a colour by the unknowns and the log doses.
func (p *Pot) slope(f response) *mat.Dense {
	n := p.model.layout.size
	h := mat.NewDense(3, n+len(p.Recipe), nil)
	for i, unknown := range f.index {
		for r, v := range f.jacobian[i] {
			h.Set(r, unknown, v)
		}
	}
	for i, part := range p.Recipe {
		at := p.model.layout.dyes[dyeAt(p.model.Dyes, part.Dye)].at
		for r, v := range f.strengths[i] {
			h.Set(r, n+i, v*p.model.theta[at+exponent])
		}
	}
	return h
}

// Predict returns the colour of the batch, with what is not known of its doses
// in the covariance.
func (p *Pot) Predict(view View) (Prediction, error) {
	f, err := p.model.respond(p.Recipe, view)
	if err != nil {
		return Prediction{}, err
	}
	h := p.slope(f)
	var hp, all mat.Dense
	hp.Mul(h, p.joint)
	all.Mul(&hp, h.T())
	out := Prediction{Reflectance: f.reflectance, Lab: f.lab, Cov: p.model.dropSpread(p.Recipe, f, view)}
	for r := range 3 {
		for c := range 3 {
			out.Cov[r][c] += (all.At(r, c) + all.At(c, r)) / 2
		}
	}
	return p.model.told(p.Recipe, out)
}

// Learned returns the model as the drop has left it: what is known of wax and
// dyes, whatever the doses of the batch.
func (p *Pot) Learned() *Model {
	m := *p.model
	m.covariance = mat.NewSymDense(m.layout.size, nil)
	m.covariance.CopySym(p.joint.SliceSym(0, m.layout.size).(mat.Symmetric))
	return &m
}
