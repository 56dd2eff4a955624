package rescue

import (
	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Answer is what to do and what comes of it.
type Answer struct {
	// SetAside is what to take out of the pot first; nil when nothing.
	SetAside *wax.Stock
	// Start is what is in the pot before adding, what is set aside taken off;
	// After is what is in it when all is added.
	After wax.Batch `json:"after"`
	Start wax.Batch
	// AddUndyedG and AddFragranceG are the grams to add.
	AddUndyedG    float64 `json:"add_undyed_g"`
	AddFragranceG float64 `json:"add_fragrance_g"`
	// AddAdditives are the grams of each additive that keep its load.
	AddAdditives []Added `json:"add_additives"`
	// AddDyes are the correcting dyes, in order of name.
	AddDyes []AddedDye
	// From is the shade as it is, Reached the shade after adding.
	From    shade.Shade  `json:"shade_now"`
	Reached shade.Shade  `json:"shade_after"`
	Wanted  spectrum.Lab `json:"wanted"`
	// MissDE00 is the difference between Reached and Wanted.
	MissDE00 float64 `json:"left_de00"`
	// Limits says in plain words what stops this batch from reaching the target,
	// and what would lift that; empty when it is reached within the tolerance.
	Limits []string `json:"limits"`
}

// Added is the mass of something to add.
type Added struct {
	Name string  `json:"name"`
	G    float64 `json:"g"`
}

// AddedDye is the mass of a dye to add.
type AddedDye struct {
	Dye string
	G   float64
	// Portion is what the dye is measured out in, and Portions how many of it G
	// is: a whole number in an answer that was measured out.
	Portion  wax.Portion
	Portions float64
	// AtMaximum tells that more would exceed the dye's maximum dose.
	AtMaximum bool
}

// AddedG is the mass of all that is added, in grams.
func (a Answer) AddedG() float64 { return a.After.TotalG() - a.Start.TotalG() }

// Factor is the share s of its dose that the batch keeps of every dye, before
// dye is added.
func (a Answer) Factor() float64 { return a.Start.UndyedG / a.After.UndyedG }

// AddedDose is what the added dyes come to in the mixture, in g/kg.
func (a Answer) AddedDose() wax.Recipe {
	var out wax.Recipe
	for _, d := range a.AddDyes {
		if d.G > 0 {
			out = append(out, wax.Part{Dye: d.Dye, DoseGPerKg: 1000 * d.G / a.After.UndyedG})
		}
	}
	return out
}

// masses fills in the grams of a mixture of wholeG grams of undyed wax that has
// kept the share s of the batch's dose.
func (r Request) masses(s, wholeG float64, after wax.Recipe) Answer {
	var a Answer
	a.Start, a.After = r.Batch, r.Batch
	a.Start.UndyedG = s * wholeG
	a.After.UndyedG, a.After.Recipe = wholeG, after
	if out := r.Batch.UndyedG - a.Start.UndyedG; out > 1e-9*r.Batch.UndyedG {
		a.SetAside = &wax.Stock{Batch: r.Batch}
		a.SetAside.UndyedG = out
	} else {
		a.Start = r.Batch
	}
	a.AddUndyedG = max(0, a.After.UndyedG-a.Start.UndyedG)
	a.AddFragranceG = max(0, a.After.FragranceG()-a.Start.FragranceG())
	for _, x := range r.Batch.Additives {
		a.AddAdditives = append(a.AddAdditives, Added{x.Name, x.MassG(a.AddUndyedG)})
	}
	for _, d := range r.Shelf {
		before := s * r.Batch.Recipe.Dose(d.Name)
		g := (after.Dose(d.Name) - before) * wholeG / 1000
		if g <= 1e-9*max(1, after.Dose(d.Name)*wholeG/1000) {
			continue
		}
		portion := r.portion(d.Counted())
		a.AddDyes = append(a.AddDyes, AddedDye{Dye: d.Name, G: g, Portion: portion, Portions: g / portion.MassG})
	}
	return a
}

// Cost is what the added wax and dyes cost; what has no price counts nothing.
func (r Request) Cost(a Answer) float64 {
	cost := a.AddUndyedG / 1000 * r.UndyedPricePerKg
	for _, added := range a.AddDyes {
		for _, d := range r.Shelf {
			if d.Name == added.Dye {
				cost += added.G * d.PricePerG
			}
		}
	}
	return cost
}

// price is what the preference wants little of.
func (r Request) price(a Answer) float64 {
	switch {
	case r.Prefer == LeastCost:
		return r.Cost(a)
	case r.Prefer == LeastWaste && a.SetAside != nil:
		return a.SetAside.TotalG()
	case r.Prefer == LeastWaste:
		return 0
	}
	return a.AddedG()
}

// mostDose is the most of a dye that an answer may come to, in g/kg: its
// recorded maximum, or the highest dose tested when none is recorded.
func mostDose(m *calibrate.Model, d wax.Dye) float64 {
	if d.MaxDoseGPerKg > 0 {
		return d.MaxDoseGPerKg
	}
	tested, _ := m.Range(d.Name)
	return tested.MaxGPerKg
}
