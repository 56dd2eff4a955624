package recipe

import (
	"fmt"
	"math"

	"setshade/internal/english"
)

// Reach tells whether a shelf reaches a target, and if not, why.
type Reach struct {
	// Reached is true when the best recipe is within the tolerance.
	Reached bool `json:"reached"`
	// Complete is true when no recipe can be better; false when the search was
	// cut short, with the best found so far.
	Complete bool `json:"complete"`
	// UnroundedDE00 is the nearest found with doses that need not be whole
	// portions.
	UnroundedDE00 float64 `json:"unrounded_de00"`
	// Why says in plain words what stops the target; empty when reached.
	Why []string `json:"stops"`
	// NotLearned names dyes of the shelf that no drop has shown in this wax.
	NotLearned []string `json:"not_learned"`
	// Particles names pigments and micas of the shelf, which are not searched:
	// they scatter, so that more of them need not be darker.
	Particles []string `json:"particles"`
}

// reached judges the best recipe; nearest is the optimum with doses not rounded.
func (s *search) reached(best Candidate, nearest optimum, left leftOut) Reach {
	r := Reach{
		Complete:      s.boxes < s.limits.MostBoxes,
		UnroundedDE00: min(nearest.de00, best.DE00), NotLearned: left.notLearned, Particles: left.particles}
	if best.DE00 <= s.limits.ToleranceDE00 {
		r.Reached = true
		return r
	}
	if r.UnroundedDE00 < best.DE00/2 {
		r.Why = append(r.Why, fmt.Sprintf("the portions are too coarse for a batch this small: doses weighed out exactly would come within %.1f dE00, so weigh finer or make a larger batch", r.UnroundedDE00))
	}
	if r.UnroundedDE00 > s.limits.ToleranceDE00 {
		r.Why = append(r.Why, s.stops(nearest)...)
	}
	return r
}

// stops names what keeps the nearest colour from the target: each part of the
// difference, weighed as CIEDE2000 does, that is at least half of the whole.
func (s *search) stops(nearest optimum) []string {
	e := extremesOver(s.target, around(nearest.lab, [3]float64{}))
	lightness := s.target.L - nearest.lab.L
	chroma := s.target.Chroma() - nearest.lab.Chroma()
	a, b := s.target.A-nearest.lab.A, s.target.B-nearest.lab.B
	hue := math.Sqrt(math.Max(0, a*a+b*b-chroma*chroma))
	half := nearest.de00 / 2
	var out []string
	undyed := s.palette.Lab(&s.undyed)
	full := s.atMaximum(nearest)
	switch {
	case lightness/e.sl > half && s.target.L > undyed.L:
		out = append(out, fmt.Sprintf("the target is too pale: undyed wax has L* %.1f and the target %.1f", undyed.L, s.target.L))
	case lightness/e.sl > half:
		out = append(out, "the target is too light for its colour: dye that gives the colour makes the wax darker than that")
	case -lightness/e.sl > half && len(full) > 0:
		out = append(out, fmt.Sprintf("the target is too dark: the nearest that these dyes reach has L* %.1f and the target %.1f", nearest.lab.L, s.target.L))
	}
	switch {
	case chroma/e.sc > half:
		out = append(out, "the target is too saturated: the dyes on this shelf are not that pure in this wax")
	case -chroma/e.sc > half:
		out = append(out, "the target is greyer than these dyes become together")
	}
	if hue/e.sh > half || len(out) == 0 {
		out = append(out, fmt.Sprintf("the hue is not on this shelf: the nearest stays too %s", excess(a, b)))
	}
	if len(full) > 0 {
		out = append(out, "at its maximum dose: "+english.And(full))
	}
	return out
}

// excess names the hue that a colour has too much of when it lacks a and b.
func excess(a, b float64) string {
	switch {
	case math.Abs(a) >= math.Abs(b) && a < 0:
		return "red"
	case math.Abs(a) >= math.Abs(b):
		return "green"
	case b < 0:
		return "yellow"
	}
	return "blue"
}

// atMaximum lists the dyes of an optimum that may not be dosed higher.
func (s *search) atMaximum(o optimum) []string {
	var out []string
	for j, c := range o.set {
		if o.strengths[j] >= c.full()*(1-1e-6) {
			out = append(out, fmt.Sprintf("%s (%.3g g/kg)", c.Name, float64(c.most())*c.StepGPerKg))
		}
	}
	return out
}
