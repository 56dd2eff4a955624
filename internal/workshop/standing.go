package workshop

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/english"
	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Standing is how far predictions of a dye may be relied on, in a word.
type Standing string

// The standings. A dye is trusted when drops left out came out as told to the eye.
const (
	Trusted Standing = "trusted"
	Nearly  Standing = "nearly"
	NotYet  Standing = "not yet"
)

// Standing says how far a dye may be relied on, and why. It rests on each drop as a fit
// that never saw it predicts it, and on the bands of Seen.
func (l Lesson) Standing(dye string) (Standing, string) {
	m := l.LeftOut(dye)
	held := fmt.Sprintf("Of %s left out once, half lay within %.1f dE00 of what was told, the worst at %.1f: %s.",
		english.Count(m.Count, "drop", "drops"), m.MedianDE00, m.WorstDE00, Seen(m.WorstDE00))
	switch {
	case m.Count < 3:
		return NotYet, "It has too few doses to be tried out; three or more make its curve sure."
	case m.MedianDE00 < HardlySeen && m.WorstDE00 < SeenSideBySide:
		return Trusted, held
	case m.MedianDE00 < SeenSideBySide && m.WorstDE00 < SeenApart:
		return Nearly, held
	}
	return NotYet, held
}

// FitPair is a drop beside what the fit makes of it.
type FitPair struct {
	Swatch              wax.Swatch
	Predicted, Measured spectrum.Lab
	DE00                float64
	// Suspicion is why the drop may be wrong, "" for one that fits.
	Suspicion string
}

// Pairs are the drops with a dye in them, the worst first.
func (l Lesson) Pairs(dye string) []FitPair {
	var out []FitPair
	for i, fit := range l.Model.Drops {
		if s := l.Drops[i]; s.Recipe.Dose(dye) > 0 {
			out = append(out, FitPair{s, fit.Predicted, s.Colour.Lab, fit.DE00, fit.Suspicion})
		}
	}
	slices.SortStableFunc(out, func(a, b FitPair) int {
		return cmp.Or(cmp.Compare(min(1, len(b.Suspicion)), min(1, len(a.Suspicion))), cmp.Compare(b.DE00, a.DE00))
	})
	return out
}

// DoseTint is a dose as it is measured out, and the finished piece that it gives.
type DoseTint struct {
	Dose   plan.Amount
	GPerKg float64
	spectrum.Lab
}

// dosesShown is how many doses tell what a dye does.
const dosesShown = 6

// Doses are doses of a dye over the range that was tested, each as it can be measured out.
func (l Lesson) Doses(dye wax.Dye) ([]DoseTint, error) {
	tested, learned := l.Model.Range(dye.Name)
	if !learned {
		return nil, nil
	}
	var out []DoseTint
	for i := range dosesShown {
		gPerKg := tested.MinGPerKg * math.Pow(tested.MaxGPerKg/tested.MinGPerKg, float64(i)/(dosesShown-1))
		dose := practical(dye, gPerKg)
		recipe, _, err := plan.ResolveDose([]plan.Amount{dose}, []wax.Dye{dye})
		if err != nil {
			return nil, err
		}
		if n := len(out); n > 0 && out[n-1].Dose == dose {
			continue
		}
		p, err := l.Model.Predict(recipe, calibrate.View{Thick: true})
		if err != nil {
			return nil, err
		}
		out = append(out, DoseTint{dose, recipe[0].DoseGPerKg, p.Lab})
	}
	return out, nil
}
