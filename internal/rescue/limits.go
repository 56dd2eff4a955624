package rescue

import (
	"fmt"
	"math"

	"setshade/internal/spectrum"
)

// mostDilution is the factor below which a target out of reach is not searched for
// (common practice, no source).
const mostDilution = 0.05

// leastFactor is the strongest dilution searched: a thousandfold.
const leastFactor = 1e-3

// limits tells what keeps the batch from its target and what would lift that, in
// plain words.
func (q *quest) limits(a Answer) []string {
	from, reached := a.From.Lab, a.Reached.Lab
	dyes := len(q.shelf) > 0
	out, mends := q.lifts(a)
	if mends {
		return out
	}
	switch nothing := a.AddedG() == 0; {
	case nothing && dyes:
		out = append(out, "neither undyed wax nor a dye offered brings this batch nearer to the target")
	case nothing && q.wanted.L < from.L:
		out = append(out, "the batch is already paler than the target; undyed wax makes it paler still, so it needs dye")
	case nothing && len(out) == 0:
		out = append(out, "undyed wax brings this batch no nearer to the target")
	}
	turn, subject := hueTurn(reached, q.wanted), "dilution cannot turn the hue"
	if dyes {
		subject = "no dye offered turns the hue that far"
	}
	if turn != "" {
		out = append(out, fmt.Sprintf("%s: it stays too %s", subject, turn))
	}
	switch chroma := q.wanted.Chroma() - reached.Chroma(); {
	case chroma > 2 && dyes:
		out = append(out, "the target is purer in colour than this batch becomes with the dyes offered")
	case chroma > 2:
		out = append(out, "the target is purer in colour than this batch can become; only dye can add that")
	case chroma < -2 && dyes:
		out = append(out, "the target is greyer than this batch becomes with the dyes offered")
	case chroma < -2:
		out = append(out, "the target is greyer than this batch becomes; only another dye can add that")
	}
	if len(out) == 0 {
		out = append(out, fmt.Sprintf("the nearest shade that is reached is L* %.1f a* %.1f b* %.1f where the target is L* %.1f a* %.1f b* %.1f",
			reached.L, reached.A, reached.B, q.wanted.L, q.wanted.A, q.wanted.B))
	}
	return out
}

// lifts names the limits that bind, and what comes without them; mends says that
// the batch is then mended.
func (q *quest) lifts(a Answer) (out []string, mends bool) {
	if q.UndyedG != nil && a.AddUndyedG >= *q.UndyedG*(1-1e-6) {
		plenty := *q
		plenty.UndyedG = nil
		if better := plenty.best(); better.de00 < a.MissDE00-0.05 {
			out = append(out, fmt.Sprintf("the undyed wax runs out: with %s more it would come within %.1f dE00 of the target",
				grams(better.AddUndyedG-*q.UndyedG), better.de00))
			mends = better.de00 <= q.ToleranceDE00
			if rest := q.aside(better); rest != "" {
				out = append(out, rest)
			}
		}
	}
	for _, d := range a.AddDyes {
		if d.AtMaximum {
			out = append(out, fmt.Sprintf("%s is at its maximum dose", d.Dye))
		}
	}
	return out, mends
}

// aside tells how much to set aside so that the undyed wax there is mends the
// rest; empty when that is not worth the while.
func (q *quest) aside(better found) string {
	share := *q.UndyedG / better.AddUndyedG
	if share < 0.1 {
		return ""
	}
	return fmt.Sprintf("or set aside all but %s of the batch: the undyed wax there is mends that much", grams(share*better.Start.TotalG()))
}

func grams(g float64) string { return fmt.Sprintf("%.0f g", math.Ceil(g-1e-3)) }

// hueTurn names the hue that a colour has too much of, when it is to be seen: the
// hue difference ΔH* of CIE 15 above 1.5; else "".
func hueTurn(reached, wanted spectrum.Lab) string {
	turn := math.Mod(wanted.HueDegrees()-reached.HueDegrees()+540, 360) - 180
	deltaH := 2 * math.Sqrt(reached.Chroma()*wanted.Chroma()) * math.Sin(math.Abs(turn)/2*math.Pi/180)
	if deltaH < 1.5 {
		return ""
	}
	return excess(reached, wanted)
}

// excess names the main hue that a colour has more of than another.
func excess(reached, wanted spectrum.Lab) string {
	a, b := reached.A-wanted.A, reached.B-wanted.B
	switch {
	case math.Abs(a) >= math.Abs(b) && a > 0:
		return "red"
	case math.Abs(a) >= math.Abs(b):
		return "green"
	case b > 0:
		return "yellow"
	}
	return "blue"
}
