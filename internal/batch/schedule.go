package batch

import (
	"fmt"
	"slices"
)

// Kind names a step.
type Kind string

// The steps of a batch, in their order at the bench.
const (
	Heat         Kind = "heat"
	Split        Kind = "split"
	AddDye       Kind = "add dye"
	Drip         Kind = "drip"
	AddFragrance Kind = "add fragrance"
	Stir         Kind = "stir"
	Pour         Kind = "pour"
	Set          Kind = "set"
	Cure         Kind = "cure"
)

// Step is one thing to do at the bench.
type Step struct {
	Kind Kind `json:"kind"`
	// Do is what to do, in a sentence.
	Do string `json:"do"`
	// At is the temperature of the wax.
	At Figure `json:"at"`
	// Lasts is how long the step takes.
	Lasts Figure `json:"lasts"`
	// Starts counts hours from pouring. What comes before depends on the
	// maker's pot, and no figure applies.
	Starts Figure `json:"starts"`
	// Adds is what is weighed, counted or divided in this step.
	Adds     []Addition `json:"adds"`
	Cautions []string   `json:"cautions"`
}

// Addition is one thing that goes into a pot, or into all when Pot is "".
type Addition struct {
	Pot  string `json:"pot"`
	What string `json:"what"`
	// Count in Unit, "g", "chip" or "drop", is how it is measured out; G is
	// its mass in grams.
	Count float64 `json:"count"`
	Unit  string  `json:"unit"`
	G     float64 `json:"g"`
}

func weighed(pot, what string, g float64) Addition { return Addition{pot, what, g, "g", g} }

// schedule lists the steps with the wax's own temperatures and times, and how
// long after pouring the pieces are ready.
func schedule(r Request, pots []Pot) (steps []Step, ready Figure) {
	steps = []Step{heat(r, pots)}
	if len(pots) > 1 {
		steps = append(steps, split(r, pots))
	}
	if hasDye(pots) {
		steps = append(steps, addDye(r, pots), Step{Kind: Drip,
			Do: "Drip a drop of each colour on white card, let it set and compare; liquid wax looks darker than set."})
	}
	if hasFragrance(r.Load) {
		steps = append(steps, addFragrance(r, pots))
	}
	b := r.Wax.Bench
	poured := Figure{0, "h", true}
	set := poured.plus(recorded(b.SetHours, "h"))
	return append(steps,
		Step{Kind: Stir, Do: "Stir slowly, so that no air gets in.", Lasts: recorded(b.StirMinutes, "min")},
		Step{Kind: Pour, Do: "Fill with molten wax.", At: recorded(b.PourAtC, "°C"), Starts: poured,
			Cautions: pourCautions(r, pots)},
		Step{Kind: Set, Do: "Let it set where nothing moves it.", Lasts: recorded(b.SetHours, "h"), Starts: poured},
		Step{Kind: Cure, Do: "Let the pieces cure before they are used or sold.", Lasts: recorded(b.CureHours, "h"), Starts: set},
	), set.plus(recorded(b.CureHours, "h"))
}

func heat(r Request, pots []Pot) Step {
	s := Step{Kind: Heat, Do: meltText(r), At: recorded(r.Wax.Bench.HeatToC, "°C"), Cautions: append([]string{HotWax}, oddRecord(r)...)}
	whole := 0.0
	for _, p := range pots {
		whole += p.UndyedG
	}
	s.Adds = []Addition{weighed("", r.Wax.Name, whole)}
	for _, a := range r.Additives {
		s.Adds = append(s.Adds, weighed("", a.Name, a.MassG(whole)))
	}
	return s
}

func meltText(r Request) string {
	if len(r.Additives) > 0 {
		return "Melt the undyed wax and its additives together and heat them through; where an additive's own sheet says otherwise, follow that."
	}
	return "Melt the undyed wax and heat it through."
}

func split(r Request, pots []Pot) Step {
	s := Step{Kind: Split, Do: "Divide the undyed melt by mass, and keep every pot hot.", Cautions: []string{HotWax}}
	for _, p := range pots {
		s.Adds = append(s.Adds, weighed(p.Name, melted(r), p.UndyedG+p.AdditivesG()))
	}
	return s
}

// melted names what is divided between pots.
func melted(r Request) string {
	if len(r.Additives) > 0 {
		return r.Wax.Name + " with its additives"
	}
	return r.Wax.Name
}

func hasDye(pots []Pot) bool {
	return slices.ContainsFunc(pots, func(p Pot) bool { return len(p.Dyes) > 0 })
}

// addDye happens while the wax is hot enough to melt chips (common practice, no
// source).
func addDye(r Request, pots []Pot) Step {
	s := Step{Kind: AddDye, Do: "Add the dye while the wax is hot enough to melt it, and stir until none is seen.",
		At: recorded(r.Wax.Bench.HeatToC, "°C"), Cautions: dyeCautions(pots)}
	for _, p := range pots {
		for _, m := range p.Dyes {
			if m.Count > 0 {
				s.Adds = append(s.Adds, Addition{p.Name, m.Dye, m.Count, m.Unit, m.G})
			}
		}
	}
	return s
}

func addFragrance(r Request, pots []Pot) Step {
	s := Step{Kind: AddFragrance, Do: "Let the wax come to this temperature, then add the fragrance.",
		At: recorded(r.Wax.Bench.AddFragranceAtC, "°C"), Cautions: fragranceCautions(r)}
	for _, p := range pots {
		s.Adds = append(s.Adds, weighed(p.Name, "fragrance", p.FragranceG()))
	}
	return s
}

// oddRecord tells temperatures of the wax's record that do not go together.
func oddRecord(r Request) []string {
	b := r.Wax.Bench
	var out []string
	for _, later := range []struct {
		does string
		atC  float64
	}{{"adds fragrance", b.AddFragranceAtC}, {"pours", b.PourAtC}} {
		if b.HeatToC > 0 && later.atC > b.HeatToC {
			out = append(out, fmt.Sprintf("The record of %s heats to %g °C and %s at %g °C, which is hotter; check it.", r.Wax.Name, b.HeatToC, later.does, later.atC))
		}
	}
	return out
}
