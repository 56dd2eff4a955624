package calibrate

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Planned is a batch of which no drop was measured yet: its doses are those of
// the recipe, each give or take a standard error of its log.
func (m *Model) Planned(recipe wax.Recipe, doseSpread float64) (*Pot, error) {
	if !spreads(doseSpread) {
		panic("calibrate: doses have a spread above 0")
	}
	if err := m.answers(recipe, View{Thick: true}); err != nil {
		return nil, err
	}
	x0, prior := m.beforeSight(Drip{Recipe: recipe, DoseSpread: doseSpread})
	p := m.potAt(x0, recipe)
	p.setJoint(prior)
	return p, nil
}

// Sight updates what is known of the batch by one more drop of it.
func (p *Pot) Sight(view View, colour spectrum.Measured) (*Pot, error) {
	x0 := mat.NewVecDense(p.model.layout.size+len(p.Recipe), nil)
	for i, v := range p.model.theta {
		x0.SetVec(i, v)
	}
	for i, part := range p.Recipe {
		x0.SetVec(p.model.layout.size+i, math.Log(part.DoseGPerKg))
	}
	return p.model.sight(Drip{Recipe: p.Recipe, View: view, Colour: colour}, x0, p.joint)
}

// Mixed is the batch once undyed wax and dye are added: every dose keeps the
// factor of itself, above 0 and at most 1, and gains that of the added recipe, in
// g per kg of the mixture,
//
//	c = s c₀ + e,   var ln c = (s c₀ / c)² var ln c₀ + (e / c)² w²
//
// to first order, with w the standard error of weighing. Wax is weighed without
// error. An added dye that was not learned is an error that wraps ErrUnknownDye.
func (p *Pot) Mixed(factor float64, added wax.Recipe) (*Pot, error) {
	if !(factor > 0 && factor <= 1) {
		panic("calibrate: a batch keeps a share of its dose above 0 and at most 1")
	}
	if err := p.model.knows(added); err != nil {
		return nil, err
	}
	recipe := p.Recipe.Scaled(factor)
	for _, part := range added {
		if at := slices.IndexFunc(recipe, func(q wax.Part) bool { return q.Dye == part.Dye }); at >= 0 {
			recipe[at].DoseGPerKg += part.DoseGPerKg
		} else {
			recipe = append(recipe, part)
		}
	}
	slices.SortFunc(recipe, func(a, b wax.Part) int { return cmp.Compare(a.Dye, b.Dye) })

	// Each unknown stays as it was, and each log dose keeps a share of the old one,
	// none if its dye is new.
	n := p.model.layout.size
	from, share := make([]int, n+len(recipe)), make([]float64, n+len(recipe))
	for i := range n {
		from[i], share[i] = i, 1
	}
	for i, part := range recipe {
		if k := slices.IndexFunc(p.Recipe, func(old wax.Part) bool { return old.Dye == part.Dye }); k >= 0 {
			from[n+i], share[n+i] = n+k, factor*p.Recipe[k].DoseGPerKg/part.DoseGPerKg
		}
	}
	joint := mat.NewSymDense(n+len(recipe), nil)
	for r := range from {
		for c := r; c < len(from); c++ {
			joint.SetSym(r, c, share[r]*share[c]*p.joint.At(from[r], from[c]))
		}
	}
	for i, part := range recipe {
		spread := weighing * added.Dose(part.Dye) / part.DoseGPerKg
		joint.SetSym(n+i, n+i, joint.At(n+i, n+i)+spread*spread)
	}
	next := &Pot{Recipe: recipe, ExplainedDE00: p.ExplainedDE00, model: p.model}
	next.setJoint(joint)
	return next, nil
}

// setJoint sets the covariance and the spread of the doses that it tells.
func (p *Pot) setJoint(joint *mat.SymDense) {
	p.joint, p.DoseSpread = joint, nil
	for i := range p.Recipe {
		at := p.model.layout.size + i
		p.DoseSpread = append(p.DoseSpread, math.Sqrt(max(0, joint.At(at, at)))) // rounding
	}
}
