package workshop

import (
	"math"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/rescue"
	"setshade/internal/shade"
	"setshade/internal/wax"
)

// Step is a part of what a rescue adds, and the drop to expect after it.
type Step struct {
	Addition      `json:"-"`
	AddFragranceG float64        `json:"add_fragrance_g"`
	AddAdditives  []rescue.Added `json:"add_additives"`
	// Dyes are those of Addition as they are measured out, in order of name.
	Dyes []MeasuredDye `json:"add_dyes"`
	// After is what is in the pot then.
	After wax.Batch `json:"after"`
	// Drop is the shade of a set drop of it on usual white card.
	Drop shade.Shade `json:"drop"`
}

// cautiousShares are the shares of all that is added after each step: two thirds
// before the first look; too much cannot be taken out again (common practice, no
// source).
var cautiousShares = []float64{2.0 / 3, 1}

// stepsOf divides what is added to a pot; dyes stay in whole portions. There are no
// steps when nothing is added, and none that adds nothing.
func stepsOf(model *calibrate.Model, now pot, a rescue.Answer, dyes []wax.Dye, shares []float64) ([]Step, error) {
	var steps []Step
	done := Addition{DyesG: map[string]float64{}}
	for _, share := range shares {
		s := Step{Addition: Addition{UndyedG: share*a.AddUndyedG - done.UndyedG, DyesG: map[string]float64{}}}
		for _, d := range a.AddDyes {
			g := d.Portion.MassG*math.Floor(share*math.Round(d.Portions)+1e-9) - done.DyesG[d.Dye]
			if g > 0 {
				s.DyesG[d.Dye] = g
				s.Dyes = append(s.Dyes, measured(dyes, d.Dye, g))
			}
		}
		if s.UndyedG <= 0 && len(s.DyesG) == 0 {
			continue
		}
		if len(steps) == 0 && a.SetAside != nil {
			s.TakenOutG = a.SetAside.UndyedG
		}
		done.UndyedG += s.UndyedG
		for dye, g := range s.DyesG {
			done.DyesG[dye] += g
		}
		before := a.Start
		if len(steps) > 0 {
			before = now.Batch
		}
		var err error
		if now, err = now.after(s.Addition); err != nil {
			return nil, err
		}
		s.After, s.AddFragranceG = now.Batch, now.FragranceG()-before.FragranceG()
		for _, x := range before.Additives {
			s.AddAdditives = append(s.AddAdditives, rescue.Added{Name: x.Name, G: x.MassG(s.UndyedG)})
		}
		if s.Drop, err = now.shade(model, calibrate.View{Card: plan.UsualCard}); err != nil {
			return nil, err
		}
		steps = append(steps, s)
	}
	return steps, nil
}
