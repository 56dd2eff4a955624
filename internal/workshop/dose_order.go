package workshop

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"setshade/internal/photo"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// More dye makes wax darker: what absorbs takes light out of every band, so that X, Y
// and Z all fall. Drops that read the other way round were mixed up, on the card, in
// the plan, or because the photograph stands on its head.

// MixedUp is a card whose drops darken with their doses when it is turned, all or
// nearly all, and not as it lies.
type MixedUp struct {
	// Quarters is how many quarters of a turn clockwise set it right.
	Quarters int
	// Printed says that the print tells how the card lies, so that the plan counts
	// its drops from the wrong end.
	Printed bool
	// Broken is what shows it, in plain words.
	Broken string
}

// Error says what is wrong.
func (m *MixedUp) Error() string {
	if m.Printed {
		return "the plan seems to count the drops from the wrong end: " + m.Broken + ", and counted from the last drop the doses agree"
	}
	how := map[int]string{1: "lying on its side", 2: "upside down", 3: "lying on its side"}
	return fmt.Sprintf("the card seems to be photographed %s: %s, and %s the doses agree", how[m.Quarters], m.Broken, m.turn())
}

// Advice says what to do.
func (m *MixedUp) Advice() string {
	if m.Printed {
		return "correct the plan; if it is right, record the card as planned"
	}
	return fmt.Sprintf("turn the photograph %s and record it then; if the plan is right as the card lies, record it as planned",
		strings.TrimPrefix(m.turn(), "turned "))
}

func (m *MixedUp) turn() string {
	return map[int]string{1: "turned a quarter to the right", 2: "turned half round", 3: "turned a quarter to the left"}[m.Quarters]
}

// doseOrder checks that drops darken with their doses. It returns notes on drops that
// do not, and a *MixedUp when all would if the card were turned.
func doseOrder(swatches []wax.Swatch, seen photo.Reading, forms map[string]wax.Form) ([]string, error) {
	broken := inversions(swatches, asTheyLie(swatches), forms)
	if len(broken) == 0 {
		return nil, nil
	}
	astray := blame(broken, swatches)
	const fewer = 3 // times: a card may be turned and have a wrong label, too
	best, left := 0, len(astray)/fewer+1
	for _, quarters := range []int{2, 1, 3} {
		order := seen.Turned(quarters)
		if len(order) != len(swatches) {
			continue
		}
		if n := len(blame(inversions(swatches, order, forms), swatches)); n < left {
			best, left = quarters, n
		}
	}
	if best > 0 {
		return nil, &MixedUp{best, seen.Printed != nil, broken[0].says(swatches)}
	}
	return astray, nil
}

// eitherWayUp reports whether a plain card has doses that could as well belong to its
// drops when it is turned: some drops would have others, and the order of the drops be
// broken no more than it is.
func eitherWayUp(swatches []wax.Swatch, seen photo.Reading, forms map[string]wax.Form) bool {
	if seen.Printed != nil {
		return false
	}
	broken := func(order []int) int { return len(blame(inversions(swatches, order, forms), swatches)) }
	asRead := broken(asTheyLie(swatches))
	for quarters := 1; quarters < 4; quarters++ {
		order := seen.Turned(quarters)
		if len(order) == len(swatches) && !sameDoses(swatches, order) && broken(order) <= asRead {
			return true
		}
	}
	return false
}

// asTheyLie is the order of swatches as they were read.
func asTheyLie(swatches []wax.Swatch) []int {
	order := make([]int, len(swatches))
	for i := range order {
		order[i] = i
	}
	return order
}

// sameDoses reports whether each drop keeps its recipe in another order.
func sameDoses(swatches []wax.Swatch, order []int) bool {
	for i, k := range order {
		if !slices.Equal(swatches[i].Recipe, swatches[k].Recipe) {
			return false
		}
	}
	return true
}

// inversion is a drop with more dye that reads lighter than one with less; both are
// indices of swatches.
type inversion struct {
	more, less int
	// beyond is how far it is lighter, in L*, than what readings and drops may differ.
	beyond float64
}

func (v inversion) says(swatches []wax.Swatch) string {
	return fmt.Sprintf("drop %s reads lighter than drop %s", dropText(swatches[v.more]), dropText(swatches[v.less]))
}

// dropText names a drop with its dose.
func dropText(s wax.Swatch) string {
	if len(s.Recipe) == 0 {
		return fmt.Sprintf("%d (undyed wax)", s.Drop)
	}
	var parts []string
	for _, p := range s.Recipe {
		parts = append(parts, fmt.Sprintf("%s %.4g g/kg", p.Dye, p.DoseGPerKg))
	}
	return fmt.Sprintf("%d (%s)", s.Drop, strings.Join(parts, " + "))
}

// inversions compares drops of which one has more dye, taking for each swatch the
// colour of the drop that order names. The worst comes first.
func inversions(swatches []wax.Swatch, order []int, forms map[string]wax.Form) []inversion {
	colour := func(i int) spectrum.Measured { return swatches[order[i]].Colour }
	whitens := whitening(swatches, colour, forms)
	var out []inversion
	for more := range swatches {
		for less := range swatches {
			if !hasMore(swatches[more].Recipe, swatches[less].Recipe) || whitens(swatches[more].Recipe) {
				continue
			}
			slack := slackOf(colour(more), colour(less), swatches[less].Card)
			if !dissolves(swatches[more].Recipe, forms) {
				slack *= 2
			}
			if beyond := paleness(colour(more).Lab) - paleness(colour(less).Lab) - slack; beyond > 0 {
				out = append(out, inversion{more, less, beyond})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b inversion) int {
		if a.beyond > b.beyond {
			return -1
		}
		return 1
	})
	return out
}

// hasMore reports whether a recipe has more dye than another, in a way that two drops
// can be compared by: any dye against none, or more against less of one dye alone.
func hasMore(a, b wax.Recipe) bool {
	if len(b) == 0 {
		return len(a) > 0
	}
	return len(a) == 1 && len(b) == 1 && a[0].Dye == b[0].Dye && a[0].DoseGPerKg > b[0].DoseGPerKg
}

// towards is the gradient of paleness by L*, a* and b*.
var towards = [3]float64{1, (116.0 / 500) / 3, -(116.0 / 200) / 3}

// paleness is the mean of 116 f - 16 over X, Y and Z, each relative to white, with f
// of CIELAB (ISO/CIE 11664-4): L* for a grey, and unlike L* a measure of a yellow
// dye, too.
func paleness(c spectrum.Lab) float64 {
	sum := 0.0
	for i, v := range c.Vector() {
		sum += towards[i] * v
	}
	return sum
}

// slackOf is how much lighter a drop may read with no more to it than the readings'
// errors and the thickness of drops: one and a half standard deviations, since drops of one
// photograph share the most of their error, and of the depth of the lesser dose under bare
// card a tenth, with 3 at least (our choice).
func slackOf(more, less spectrum.Measured, card spectrum.Lab) float64 {
	const deviations, least, ofDepth = 1.5, 3, 0.1
	variance := 0.0
	for i := range towards {
		for k := range towards {
			variance += towards[i] * (more.Cov[i][k] + less.Cov[i][k]) * towards[k]
		}
	}
	return deviations*math.Sqrt(max(0, variance)) + max(least, ofDepth*(paleness(card)-paleness(less.Lab)))
}

// dissolves reports whether all dyes of a recipe dissolve.
func dissolves(recipe wax.Recipe, forms map[string]wax.Form) bool {
	for _, p := range recipe {
		if !forms[p.Dye].Dissolves() {
			return false
		}
	}
	return true
}

// whitening tells which recipes hold particles that may be white: those of which no
// drop that has them alone reads dark or coloured.
func whitening(swatches []wax.Swatch, colour func(int) spectrum.Measured, forms map[string]wax.Form) func(wax.Recipe) bool {
	const dark, coloured = 80, 12
	colours := map[string]bool{}
	for i, s := range swatches {
		if lab := colour(i).Lab; len(s.Recipe) == 1 && (lab.L < dark || lab.Chroma() > coloured) {
			colours[s.Recipe[0].Dye] = true
		}
	}
	return func(recipe wax.Recipe) bool {
		return slices.ContainsFunc(recipe, func(p wax.Part) bool { return !forms[p.Dye].Dissolves() && !colours[p.Dye] })
	}
}

// blame says which drops break the order: the one that breaks it most often, then of
// what is left again.
func blame(broken []inversion, swatches []wax.Swatch) []string {
	var notes []string
	broken = slices.Clone(broken)
	for len(broken) > 0 {
		times := map[int]int{}
		worst := broken[0].more
		for _, v := range broken {
			for _, drop := range [2]int{v.more, v.less} {
				if times[drop]++; times[drop] > times[worst] {
					worst = drop
				}
			}
		}
		if times[worst] == 1 { // either of the two
			notes = append(notes, broken[0].says(swatches)+"; the label or the dose of one of them may be wrong")
			broken = broken[1:]
			continue
		}
		ofWorst := func(v inversion) bool { return v.more == worst || v.less == worst }
		notes = append(notes, broken[slices.IndexFunc(broken, ofWorst)].says(swatches)+
			fmt.Sprintf(", and drop %d does not fit others either; its label or its dose may be wrong", swatches[worst].Drop))
		broken = slices.DeleteFunc(broken, ofWorst)
	}
	return notes
}
