package rescue

import (
	"math"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Measured is an exact answer with its dyes rounded to whole portions: of the
// roundings up and down the nearest to the target, the undyed wax searched anew
// for each of them; or, with a preference for less mass or cost, that of the least
// within the tolerance. Dyes are counted, and weighed where that is out of tolerance and
// weighing comes nearer. An answer that adds no dye is returned as it is.
func Measured(m *calibrate.Model, r Request, exact Answer) (Answer, error) {
	if len(exact.AddDyes) == 0 {
		return exact, nil
	}
	if err := r.validate(); err != nil {
		return Answer{}, err
	}
	counted, err := r.rounded(m, exact)
	const nearer = 0.05 // dE00 that is told
	if err == nil && counted.MissDE00 <= max(r.ToleranceDE00, exact.MissDE00+nearer) {
		return counted, nil
	}
	r.weighs = true
	if weighed, failed := r.rounded(m, exact); failed == nil && (err != nil || weighed.MissDE00 < counted.MissDE00-nearer) {
		return weighed, nil
	}
	return counted, err
}

// portion is the way in which a dye is measured out that can be counted in p.
func (r Request) portion(p wax.Portion) wax.Portion {
	if w := wax.Weighed(); r.weighs && w.MassG < p.MassG {
		return w
	}
	return p
}

// rounded is Measured in one way of measuring for each dye.
func (r Request) rounded(m *calibrate.Model, exact Answer) (Answer, error) {
	best, least := Answer{}, math.Inf(1)
	pushed := r.pushes(exact)
	for choice := range 1 << len(exact.AddDyes) {
		dyesG := map[string]float64{}
		for i, d := range exact.AddDyes {
			portionG := r.portion(d.Portion).MassG
			portions := math.Floor(d.G/portionG + 1e-6)
			if choice>>i&1 == 1 {
				portions++
			}
			dyesG[d.Dye] = portions * portionG
		}
		a, ok := r.measure(m, exact, dyesG)
		if !ok {
			continue
		}
		lab, err := m.Lab(a.After.Recipe, r.View)
		if err != nil {
			return Answer{}, err
		}
		miss := spectrum.DE00(lab, exact.Wanted)
		nearer := miss < least
		if pushed && miss <= r.ToleranceDE00 && least <= r.ToleranceDE00 {
			nearer = r.price(a) < r.price(best)
		}
		if nearer {
			best, least = a, miss
		}
	}
	var err error
	if best.Reached, err = shade.Of(m, best.After.Recipe, r.View); err != nil {
		return Answer{}, err
	}
	best.From, best.Wanted, best.MissDE00, best.Limits = exact.From, exact.Wanted, least, exact.Limits
	for i := range best.AddDyes {
		d := &best.AddDyes[i]
		d.Portions = math.Round(d.G / d.Portion.MassG)
		for _, e := range exact.AddDyes {
			if e.Dye == d.Dye {
				d.AtMaximum = e.AtMaximum
			}
		}
	}
	return best, nil
}

// measure finds the undyed wax that goes best with given grams of dye, when it
// keeps every dye within its maximum dose and all limits. What is set aside follows
// from it: a batch that does not fit leaves the pot until the rest fills it.
func (r Request) measure(m *calibrate.Model, exact Answer, dyesG map[string]float64) (Answer, bool) {
	dyeG := 0.0
	for _, g := range dyesG {
		dyeG += g
	}
	start := func(addG float64) wax.Batch {
		b := r.Batch
		if exact.SetAside != nil {
			fits := (r.capacityG() - dyeG - addG*r.besideDye()) / (r.besideDye() + doseSum(b.Recipe)/1000)
			b.UndyedG = min(b.UndyedG, fits)
		}
		return b
	}
	room := (r.capacityG() - dyeG) / r.besideDye()
	if exact.SetAside == nil {
		room -= r.Batch.UndyedG + r.Batch.DyeG()/r.besideDye()
	}
	most := min(room, 1.5*exact.AddUndyedG+0.1*exact.Start.UndyedG)
	if r.UndyedG != nil {
		most = min(most, *r.UndyedG)
	}
	if most < -1e-9*r.Batch.UndyedG {
		return Answer{}, false
	}
	fits := func(addG float64) bool {
		b := start(addG)
		return b.UndyedG > leastRoomG*r.Batch.UndyedG && r.allowed(m, b, addG, dyesG)
	}
	addG := 0.0
	if exact.AddUndyedG > 0 && most > 0 {
		miss := func(g float64) float64 {
			if !fits(g) {
				return math.Inf(1)
			}
			lab, err := m.Lab(poured(start(g), g, dyesG), r.View)
			if err != nil {
				panic("rescue: the dyes were looked up before: " + err.Error())
			}
			return spectrum.DE00(lab, exact.Wanted)
		}
		addG = nearestOf(miss, 0, most)
		if r.pushes(exact) {
			addG = leastUndyed(miss, addG, r.ToleranceDE00)
		}
	}
	if !fits(addG) {
		return Answer{}, false
	}
	b := start(addG)
	whole := b.UndyedG + addG
	return r.masses(b.UndyedG/whole, whole, poured(b, addG, dyesG)), true
}

// pushes reports whether the tolerance is used up to add less undyed wax, and so to
// set less aside.
func (r Request) pushes(exact Answer) bool {
	return r.Prefer != "" && exact.MissDE00 <= r.ToleranceDE00*(1+1e-9)
}

// allowed reports whether every dye added stays within its maximum dose, or none
// of it is added.
func (r Request) allowed(m *calibrate.Model, b wax.Batch, undyedG float64, dyesG map[string]float64) bool {
	for _, d := range r.Shelf {
		dose := (b.Recipe.Dose(d.Name)*b.UndyedG + 1000*dyesG[d.Name]) / (b.UndyedG + undyedG)
		if dyesG[d.Name] > 0 && dose > mostDose(m, d)*(1+1e-6) {
			return false
		}
	}
	return true
}

// poured is the recipe of a batch after undyed wax and dyes are added.
func poured(b wax.Batch, undyedG float64, dyesG map[string]float64) wax.Recipe {
	whole := b.UndyedG + undyedG
	var parts []wax.Part
	for _, p := range b.Recipe {
		dose := (p.DoseGPerKg*b.UndyedG + 1000*dyesG[p.Dye]) / whole
		if dose < wax.MaxDoseGPerKg*(1+1e-9) { // a rounding more than all dye
			dose = min(dose, wax.MaxDoseGPerKg)
		}
		parts = append(parts, wax.Part{Dye: p.Dye, DoseGPerKg: dose})
	}
	for dye, g := range dyesG {
		if g > 0 && b.Recipe.Dose(dye) == 0 {
			parts = append(parts, wax.Part{Dye: dye, DoseGPerKg: 1000 * g / whole})
		}
	}
	recipe, err := wax.NewRecipe(parts...)
	if err != nil {
		panic("rescue: a mixture of recipes is a recipe: " + err.Error())
	}
	return recipe
}
