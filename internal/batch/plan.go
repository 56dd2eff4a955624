package batch

import (
	"errors"
	"fmt"

	"setshade/internal/wax"
)

// Sheet is the plan of a batch: what to weigh, what to do, what it costs.
type Sheet struct {
	Wax  wax.Wax  `json:"wax"`
	Load wax.Load `json:"load"`
	// Pots are the colours in the order asked. What no colour takes is a last
	// pot of undyed wax with Leftover true.
	Pots []Pot
	// Additives are those of every pot.
	Additives []wax.Additive
	// UndyedG, DyeG, FragranceG and AdditivesG are the sums over the pots, TotalG
	// is their sum: all that is melted. PouredG of it fills; LossG is allowed to stay
	// behind.
	UndyedG    float64 `json:"undyed_g"`
	DyeG       float64 `json:"dye_g"`
	FragranceG float64 `json:"fragrance_g"`
	AdditivesG float64 `json:"additives_g"`
	TotalG     float64 `json:"total_g"`
	PouredG    float64 `json:"poured_g"`
	LossG      float64 `json:"loss_g"`
	// MoltenML is the volume of it all molten, FragranceML that of the
	// fragrance.
	MoltenML    float64 `json:"molten_ml"`
	FragranceML float64 `json:"fragrance_ml"`
	// Readings tells the load both ways; nil without fragrance.
	Readings *LoadReadings `json:"load_readings"`
	Steps    []Step        `json:"steps"`
	// Ready is how long after pouring the pieces are cured.
	Ready Figure `json:"ready"`
	Cost  Cost   `json:"cost"`
	// Notes say what the plan takes for granted, in plain words.
	Notes []string `json:"assumed"`
}

// Pot is one colour's part of the melt.
type Pot struct {
	Name string `json:"name"`
	// Batch is what is in the pot. Its recipe is the one that the measured dyes
	// reach, without those too little to measure.
	wax.Batch `json:"batch"`
	// Asked is the recipe before rounding.
	Asked wax.Recipe `json:"asked"`
	// Portions of the fill, in pieces or scoops, that the pot makes.
	Portions float64 `json:"portions"`
	// PouredG fills, LossG is allowed to stay behind; together they are the
	// pot's TotalG.
	PouredG, LossG float64
	MoltenML       float64
	FragranceML    float64
	Dyes           []Measured `json:"dyes"`
	Cost           Cost       `json:"cost"`
	// Leftover marks what no colour takes.
	Leftover bool `json:"leftover"`
}

// Plan plans a batch. It refuses a fragrance load above the wax's maximum, a
// dye that is not on the shelf, mica beside a wick, and colours that take more
// than is filled.
func Plan(r Request) (Sheet, error) {
	if err := r.validate(); err != nil {
		return Sheet{}, err
	}
	r.Load = settled(r.Load)
	colours, err := allot(r.Colours, r.Fill)
	if err != nil {
		return Sheet{}, err
	}
	s := Sheet{Wax: r.Wax, Load: r.Load, Additives: r.Additives}
	for _, c := range colours {
		p := potOf(r, c)
		if err := p.Batch.Validate(); err != nil {
			return Sheet{}, fmt.Errorf("%s: %w", c.title(), err)
		}
		s.Pots = append(s.Pots, p)
		s.add(p)
	}
	s.Cost.share(r, r.Fill.portions)
	s.Readings = readings(r.Load, s.UndyedG)
	s.Steps, s.Ready = schedule(r, s.Pots)
	s.Notes = notes(r, s.Pots)
	return s, nil
}

// add counts a pot in.
func (s *Sheet) add(p Pot) {
	s.UndyedG += p.UndyedG
	s.DyeG += p.DyeG()
	s.FragranceG += p.FragranceG()
	s.AdditivesG += p.AdditivesG()
	s.TotalG += p.TotalG()
	s.PouredG += p.PouredG
	s.LossG += p.LossG
	s.MoltenML += p.MoltenML
	s.FragranceML += p.FragranceML
	s.Cost.add(p.Cost)
}

// allot gives every colour its portions, and undyed wax what none of them takes.
func allot(colours []Colour, f Fill) ([]allotted, error) {
	taken, open := 0.0, 0
	for _, c := range colours {
		taken += c.Portions
		if c.Portions == 0 {
			open++
		}
	}
	left := f.portions - taken
	if left < -1e-9*f.portions {
		return nil, fmt.Errorf("the colours take %.6g %s and there are %.6g; give them less, or fill more", taken, f.word(), f.portions)
	}
	if left <= 1e-9*f.portions {
		left = 0
	}
	if open > 0 && left == 0 {
		return nil, errors.New("some colours are to take what the others leave, and nothing is left; give them their own number")
	}
	var out []allotted
	for _, c := range colours {
		if c.Portions == 0 {
			c.Portions = left / float64(open)
		}
		out = append(out, allotted{Colour: c})
	}
	if open == 0 && left > 0 {
		if len(out) == 1 && out[0].Name == "" {
			out[0].Name = out[0].Recipe.String()
		}
		out = append(out, allotted{Colour{Name: "left over, undyed", Portions: left}, true})
	}
	return out, nil
}

// allotted is a colour with its portions.
type allotted struct {
	Colour
	leftover bool
}

// potOf weighs out one colour.
func potOf(r Request, c allotted) Pot {
	unit := wax.Batch{UndyedG: 1, Recipe: c.Recipe, Load: r.Load, Additives: r.Additives}
	p := Pot{Name: c.Name, Asked: c.Recipe, Portions: c.Portions, Leftover: c.leftover}
	p.Load, p.Additives = r.Load, r.Additives
	p.UndyedG = c.Portions * r.Fill.undyedG(r, unit.DyeG()+unit.AdditivesG(), unit.FragranceG())
	for _, part := range c.Recipe {
		d, _ := r.dye(part.Dye)
		m := Measure(d, part.DoseGPerKg, p.UndyedG)
		p.Dyes = append(p.Dyes, m)
		if m.Count > 0 {
			p.Recipe = append(p.Recipe, wax.Part{Dye: m.Dye, DoseGPerKg: m.ReachedGPerKg})
		}
	}
	p.PouredG = p.TotalG() / (1 + r.LossPercent/100)
	p.LossG = p.TotalG() - p.PouredG
	p.FragranceML = p.FragranceG() / r.fragranceDensity()
	p.MoltenML = (p.UndyedG+p.DyeG()+p.AdditivesG())/r.Wax.DensityGPerML + p.FragranceML
	p.Cost = costOf(r, p)
	return p
}

// notes says what the plan takes for granted. That moulds are filled molten and
// wax shrinks as it sets is common practice, no source.
func notes(r Request, pots []Pot) []string {
	out := []string{"Moulds are filled molten. Wax shrinks as it sets, so a set piece is a little smaller than its mould; it weighs the same."}
	if last := pots[len(pots)-1]; last.Leftover {
		out = append(out, fmt.Sprintf("No colour takes %.6g of the %.6g %s; that part of the melt stays undyed.", last.Portions, r.Fill.portions, r.Fill.word()))
	}
	if !r.Fill.makesPieces() {
		out = append(out, "Scoops are the undyed wax itself, so the loss is taken out of them and not added.")
	}
	if len(r.Additives) > 0 {
		out = append(out, "Additives are taken to fill as much as wax of the same mass, and to add no colour.")
	}
	if r.MarkupPercent > 0 {
		out = append(out, "The selling price is on the cost of what goes into a piece, loss included; packing, wicks, time and tax are not in it.")
	}
	if !hasFragrance(r.Load) {
		return out
	}
	if r.Fragrance.DensityGPerML == 0 {
		out = append(out, fmt.Sprintf("The fragrance's density is not recorded; %.1f g/ml is used.", UsualFragranceDensityGPerML))
	}
	if r.Wax.MaxLoad == (wax.Load{}) {
		out = append(out, fmt.Sprintf("The maximum fragrance load of %s is not recorded: ask the supplier.", r.Wax.Name))
	}
	return out
}
