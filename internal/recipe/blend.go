package recipe

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"setshade/internal/wax"
)

// Pour is one layer: its recipe, and its mass with dye and fragrance.
type Pour struct {
	Recipe wax.Recipe
	TotalG float64
}

// BlendStep is what to do for one layer, in order: add to what is left in the
// pot, stir, pour.
type BlendStep struct {
	// Left is what the pour before left in the pot; nothing at the first step,
	// and where the tint before cannot be turned into this one by adding.
	Left wax.Batch
	// AddUndyedG, AddFragranceG and AddDyes are the grams to add.
	AddUndyedG    float64   `json:"add_undyed_g"`
	AddFragranceG float64   `json:"add_fragrance_g"`
	AddDyes       []DyeMass `json:"add_dyes"`
	// Pot is what is then in the pot, Pour what to pour out of it.
	Pot  wax.Batch `json:"pot"`
	Pour wax.Batch `json:"pour"`
}

// DyeMass is grams of a dye.
type DyeMass struct {
	Dye string  `json:"dye"`
	G   float64 `json:"g"`
}

// ErrNothingToPour is returned for a blend without layers.
var ErrNothingToPour = errors.New("there is no layer to pour; give each its recipe and its grams")

// Blend works out layers poured one after the other from one pot, dark to pale,
// pale to dark, or from hue to hue, so that nothing is left at the end. From
// tint i, with kept grams of undyed wax, the least wax that takes tint i+1 is
//
//	U = ρ kept,   ρ = max(1, max over dyes of c_i / c_i+1)
//
// since dye cannot be taken out; worked backwards from the last layer, this
// gives what the pot must hold before each. Dyes fill up to their dose. Where
// the next tint lacks a dye of this one, the pot is emptied and started anew.
//
// The load is kept throughout. potG is the most that the pot holds in grams,
// everything counted; 0 when it is large enough.
func Blend(pours []Pour, load wax.Load, potG float64) ([]BlendStep, error) {
	if len(pours) == 0 {
		return nil, ErrNothingToPour
	}
	if err := load.Validate(); err != nil {
		return nil, err
	}
	if !(potG >= 0) {
		return nil, fmt.Errorf("a pot of %g g cannot be; give what it holds in grams", potG)
	}
	steps := make([]BlendStep, len(pours))
	undyed := 0.0 // in the pot before a pour
	for i := len(pours) - 1; i >= 0; i-- {
		pour, err := pours[i].batch(load)
		if err != nil {
			return nil, fmt.Errorf("layer %d: %w", i+1, err)
		}
		kept := 0.0
		if i < len(pours)-1 {
			kept = undyed / stretchTo(pour.Recipe, steps[i+1].Pour.Recipe)
			steps[i+1].Left = wax.Batch{UndyedG: kept, Recipe: pour.Recipe, Load: load}
		}
		undyed = pour.UndyedG + kept
		steps[i].Pour = pour
		steps[i].Pot = wax.Batch{UndyedG: undyed, Recipe: pour.Recipe, Load: load}
	}
	fullest := 0
	for i := range steps {
		steps[i].add()
		if steps[i].Pot.TotalG() > steps[fullest].Pot.TotalG() {
			fullest = i
		}
	}
	if whole := steps[fullest].Pot.TotalG(); potG > 0 && whole > potG {
		return nil, fmt.Errorf("before layer %d the pot must hold %.1f g, more than its %.1f g; %s", fullest+1, whole, potG, otherWay(pours, load, potG))
	}
	return steps, nil
}

// otherWay is what to do when the pot is too small for an order.
func otherWay(pours []Pour, load wax.Load, potG float64) string {
	reversed := slices.Clone(pours)
	slices.Reverse(reversed)
	steps, err := Blend(reversed, load, 0)
	overflows := func(s BlendStep) bool { return s.Pot.TotalG() > potG }
	if err == nil && !slices.ContainsFunc(steps, overflows) {
		return "pour in the opposite order, which fits"
	}
	return "melt some layers apart"
}

// batch is a pour told by its undyed wax.
func (p Pour) batch(load wax.Load) (wax.Batch, error) {
	one := wax.Batch{UndyedG: 1, Recipe: p.Recipe, Load: load}
	b := wax.Batch{UndyedG: p.TotalG / one.TotalG(), Recipe: p.Recipe, Load: load}
	return b, b.Validate()
}

// stretchTo is how many times the wax must grow to turn one recipe into another
// by adding, +Inf when a dye is in the way.
func stretchTo(from, to wax.Recipe) float64 {
	most := 1.0
	for _, p := range from {
		most = math.Max(most, p.DoseGPerKg/to.Dose(p.Dye))
	}
	return most
}

// add works out the grams that turn what is left into what the pot must hold.
func (s *BlendStep) add() {
	s.AddUndyedG = s.Pot.UndyedG - s.Left.UndyedG
	s.AddFragranceG = s.Pot.FragranceG()
	if s.Left.UndyedG > 0 {
		s.AddFragranceG -= s.Left.FragranceG()
	}
	for _, p := range s.Pot.Recipe {
		g := (p.DoseGPerKg*s.Pot.UndyedG - s.Left.Recipe.Dose(p.Dye)*s.Left.UndyedG) / 1000
		// What rounding leaves of a dye that is there already is nothing to weigh.
		if g > 1e-12*s.Pot.UndyedG {
			s.AddDyes = append(s.AddDyes, DyeMass{p.Dye, g})
		}
	}
}
