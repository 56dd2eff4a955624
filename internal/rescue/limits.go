package rescue

import (
	"fmt"
	"math"

	"setshade/internal/spectrum"
)

// mostDilution is the factor below which diluting is no longer sensible (common
// practice, no source).
const mostDilution = 0.05

// limits tells what keeps a diluted batch from its target, in plain words.
func limits(from, reached, wanted spectrum.Lab, factor float64) []string {
	var out []string
	if factor == 1 && wanted.L < from.L {
		out = append(out, "the batch is already paler than the target; undyed wax makes it paler still, so it needs dye")
	} else if factor == 1 {
		out = append(out, "undyed wax brings this batch no nearer to the target")
	}
	if factor < mostDilution {
		out = append(out, fmt.Sprintf("it takes %.0f times the wax; a fresh batch with less dye is the better way", 1/factor))
	}
	if hue := hueTurn(reached, wanted); hue != "" {
		out = append(out, hue)
	}
	switch chroma := wanted.Chroma() - reached.Chroma(); {
	case chroma > 2:
		out = append(out, "the target is purer in colour than this batch can become; only dye can add that")
	case chroma < -2:
		out = append(out, "the target is greyer than this batch becomes; only another dye can add that")
	}
	if len(out) == 0 {
		out = append(out, fmt.Sprintf("the nearest shade that dilution reaches has L* %.1f where the target has %.1f", reached.L, wanted.L))
	}
	return out
}

// hueTurn says which way the hue stays off, when the turn is to be seen: the
// hue difference ΔH* of CIE 15 above 1.5.
func hueTurn(reached, wanted spectrum.Lab) string {
	turn := math.Mod(wanted.HueDegrees()-reached.HueDegrees()+540, 360) - 180
	deltaH := 2 * math.Sqrt(reached.Chroma()*wanted.Chroma()) * math.Sin(math.Abs(turn)/2*math.Pi/180)
	if deltaH < 1.5 {
		return ""
	}
	return fmt.Sprintf("dilution cannot turn the hue: it stays too %s", excess(reached, wanted))
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
