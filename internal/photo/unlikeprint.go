package photo

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/card"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

// Beyond these no printer printed a patch so. Of 24 invented printers with other inks,
// blacks and growing dots, in daylight and by two cameras under a warm lamp, none came
// further than the figures in brackets.
const (
	mostCast    = 8.0  // of a grey in a* and b*, from the middling one (3.3)
	mostUneven  = 4.0  // L* of a grey from the curve through the others (2.3)
	leastRise   = 1.5  // L* from one grey to the next (4.1)
	leastApart  = 2.0  // dE00 from patch to patch (3.3)
	mostStrange = 34.0 // dE00 of a colour from the one asked for (29.8)
)

// judgePrint marks the patches that look as no printer prints them, under wax or dirt:
// greys that are coloured or not as light as the others foretell, colours far from their
// own or like the bare card, and patches that equal their neighbour. Thin wax, and wax of much the patch's own
// colour, look like another printer and are not told.
func judgePrint(patches []Patch, strip []card.Patch, bare spectrum.Lab) {
	var greys []grey
	for i := range patches {
		p, printed := &patches[i], strip[i].Colour
		switch {
		case !p.Sound:
		case printed.IsGrey():
			greys = append(greys, grey{p, printed.Target().L / 100})
		default:
			p.unlike = spectrum.DE00(p.Corrected, printed.Target()) > mostStrange || spectrum.DE00(p.Corrected, bare) < leastApart
		}
	}
	greys = leaveOutCoarse(leaveOutColoured(greys), bare)
	for i := 1; i < len(greys); i++ {
		if greys[i].patch.Corrected.L-greys[i-1].patch.Corrected.L < leastRise {
			greys[i].patch.unlike = true
		}
	}
	for i := 1; i < len(patches); i++ {
		a, b := &patches[i-1], &patches[i]
		if a.Sound && b.Sound && spectrum.DE00(a.Corrected, b.Corrected) < leastApart {
			a.unlike, b.unlike = true, true
		}
	}
}

// grey is a patch of black ink, and the lightness asked for, 0 to 1.
type grey struct {
	patch *Patch
	asked float64
}

// leaveOutColoured marks greys of another cast than the rest, and returns the rest.
func leaveOutColoured(greys []grey) (rest []grey) {
	var a, b []float64
	for _, g := range greys {
		a, b = append(a, g.patch.Corrected.A), append(b, g.patch.Corrected.B)
	}
	if len(greys) == 0 {
		return nil
	}
	castA, castB := rank.Median(a), rank.Median(b)
	for _, g := range greys {
		if c := g.patch.Corrected; math.Hypot(c.A-castA, c.B-castB) > mostCast {
			g.patch.unlike = true
		} else {
			rest = append(rest, g)
		}
	}
	return rest
}

// leaveOutCoarse marks, one after the other, the grey that lies farthest from the curve
// through all others and the bare card, and returns those that lie near it. Of black,
// at the curve's end, it says nothing.
func leaveOutCoarse(greys []grey, bare spectrum.Lab) []grey {
	for {
		worst, at := mostUneven, -1
		for i := range greys {
			if i == 0 {
				continue
			}
			foretold, ok := foretoldLightness(greys, i, bare)
			if off := math.Abs(greys[i].patch.Corrected.L - foretold); ok && off > worst {
				worst, at = off, i
			}
		}
		if at < 0 {
			return greys
		}
		greys[at].patch.unlike = true
		greys = append(greys[:at:at], greys[at+1:]...)
	}
}

// foretoldLightness is the L* of a grey by the cubic through the others and bare card;
// false where these are too few.
func foretoldLightness(greys []grey, left int, bare spectrum.Lab) (float64, bool) {
	const terms, least = 4, 5
	if len(greys) < least {
		return 0, false
	}
	powers := func(x float64) []float64 { return []float64{1, x, x * x, x * x * x} }
	asked, seen := mat.NewDense(len(greys), terms, nil), mat.NewVecDense(len(greys), nil)
	for i, g := range greys {
		if i == left { // in whose place the bare card stands
			asked.SetRow(i, powers(1))
			seen.SetVec(i, bare.L)
			continue
		}
		asked.SetRow(i, powers(g.asked))
		seen.SetVec(i, g.patch.Corrected.L)
	}
	var curve mat.VecDense
	if curve.SolveVec(asked, seen) != nil {
		return 0, false
	}
	return mat.Dot(&curve, mat.NewVecDense(terms, powers(greys[left].asked))), true
}
