package workshop

import (
	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/shade"
	"setshade/internal/wax"
)

// Step is a part of what a rescue adds, and the drop to expect after it.
type Step struct {
	AddUndyedG, AddFragranceG float64
	// After is what is in the pot then.
	After wax.Batch
	// Drop is the shade of a set drop of it on usual white card.
	Drop shade.Shade
}

// firstShare is the share of the undyed wax that goes in before the first look;
// too much cannot be taken out again (common practice, no source).
const firstShare = 2.0 / 3

// stepsOf divides what is added into a first, cautious part and the rest. There
// are none when nothing is added.
func stepsOf(model *calibrate.Model, start, after wax.Batch) ([]Step, error) {
	if after.UndyedG <= start.UndyedG {
		return nil, nil
	}
	middle := start
	middle.UndyedG += firstShare * (after.UndyedG - start.UndyedG)
	middle.Recipe = start.Recipe.Scaled(start.UndyedG / middle.UndyedG)
	var steps []Step
	for _, then := range []wax.Batch{middle, after} {
		drop, err := shade.Of(model, then.Recipe, calibrate.View{Card: plan.UsualCard})
		if err != nil {
			return nil, err
		}
		steps = append(steps, Step{
			AddUndyedG: then.UndyedG - start.UndyedG, AddFragranceG: then.FragranceG() - start.FragranceG(),
			After: then, Drop: drop,
		})
		start = then
	}
	return steps, nil
}
