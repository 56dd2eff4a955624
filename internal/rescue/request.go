package rescue

import (
	"errors"
	"fmt"
	"math"

	"setshade/internal/calibrate"
	"setshade/internal/wax"
)

// Request is what the maker knows, has and wants.
type Request struct {
	Batch  wax.Batch
	Target Target
	// View is the piece of wax the target colour was taken from: thick for a
	// finished piece, or a drop on its card.
	View calibrate.View
	// ToleranceDE00 is the difference from the target that the maker accepts.
	ToleranceDE00 float64
	// Shelf holds the dyes that may be added, each once; nil for undyed wax only.
	Shelf []wax.Dye
	// Fresh holds the dyes that a fresh batch may be made of, each once, for Judge.
	Fresh []wax.Dye
	// UndyedG is the undyed wax in the cupboard in grams; nil for plenty.
	UndyedG *float64
	// PotG is the most the pot may hold in grams, everything counted, and MouldsG
	// the most the moulds take; 0 when they are large enough.
	PotG, MouldsG float64
	Prefer        Preference
	// UndyedPricePerKg is the price of undyed wax, for the least cost; dyes bring
	// their own. 0 when not recorded.
	UndyedPricePerKg float64

	weighs bool // dyes that are counted are weighed instead, where that is finer
}

// Preference says what to spare within the tolerance.
type Preference string

// The preferences: the least mass added, the least mass set aside, or the least
// cost of what is added; each goes to the edge of the tolerance. The zero Preference
// goes to the nearest shade of each set of dyes, and takes the set that adds the least.
const (
	LeastMass  Preference = "mass"
	LeastWaste Preference = "waste"
	LeastCost  Preference = "cost"
)

// Preferences lists every preference that can be asked for.
func Preferences() []Preference { return []Preference{LeastMass, LeastWaste, LeastCost} }

// ErrNoDye is returned for a batch without dye to which no dye may be added:
// undyed wax cannot change it.
var ErrNoDye = errors.New("the batch has no dye in it, so undyed wax does not change it")

// leastRoomG is the smallest pot, in grams, that is taken for one.
const leastRoomG = 1e-6

func (r Request) validate() error {
	if err := r.Batch.Validate(); err != nil {
		return err
	}
	switch {
	case len(r.Batch.Recipe) == 0 && (len(r.Shelf) == 0 || r.Target.lighterPercent > 0):
		return ErrNoDye
	case r.View.Liquid:
		return errors.New("a batch is rescued towards the shade of set wax; give the colour of a set piece or drop")
	case !r.Target.colour.IsPlausible():
		return errors.New("the target is not a colour")
	case !(r.ToleranceDE00 >= 0) || math.IsInf(r.ToleranceDE00, 1):
		return fmt.Errorf("a tolerance of %g dE00 cannot be", r.ToleranceDE00)
	case r.PotG != 0 && !(r.PotG >= leastRoomG && r.PotG <= math.MaxFloat64):
		return fmt.Errorf("a pot of %g g cannot be; give what it holds in grams", r.PotG)
	case r.MouldsG != 0 && !(r.MouldsG >= leastRoomG && r.MouldsG <= math.MaxFloat64):
		return fmt.Errorf("moulds for %g g cannot be; give what they take in grams", r.MouldsG)
	case r.UndyedG != nil && (!(*r.UndyedG >= 0) || math.IsInf(*r.UndyedG, 1)):
		return fmt.Errorf("%g g of undyed wax cannot be; give what is in the cupboard in grams", *r.UndyedG)
	case !(r.UndyedPricePerKg >= 0) || math.IsInf(r.UndyedPricePerKg, 1):
		return fmt.Errorf("a price of %g per kg cannot be", r.UndyedPricePerKg)
	}
	switch r.Prefer {
	case "", LeastMass, LeastWaste, LeastCost:
	default:
		return fmt.Errorf("%q is no preference; choose mass, waste or cost", r.Prefer)
	}
	seen := map[string]bool{}
	for _, d := range r.Shelf {
		if err := d.Validate(); err != nil {
			return err
		}
		if seen[d.Name] {
			return fmt.Errorf("%s is offered twice", d.Name)
		}
		seen[d.Name] = true
	}
	return nil
}

// capacityG is the most that may be in the pot in the end, in grams.
func (r Request) capacityG() float64 {
	capacity := math.Inf(1)
	for _, g := range []float64{r.PotG, r.MouldsG} {
		if g > 0 {
			capacity = min(capacity, g)
		}
	}
	return capacity
}

// besideDye is the mass in the pot for each gram of undyed wax, dye not counted.
func (r Request) besideDye() float64 {
	bare := r.Batch
	bare.Recipe = nil
	return bare.TotalG() / bare.UndyedG
}

// wholeG is the undyed wax in a mixture that has kept the share s of its dose, in
// grams: all of the batch diluted, or what fills pot and moulds and no more.
func (r Request) wholeG(s float64, recipe wax.Recipe) float64 {
	return min(r.Batch.UndyedG/s, r.capacityG()/(r.besideDye()+doseSum(recipe)/1000))
}

func doseSum(recipe wax.Recipe) float64 {
	sum := 0.0
	for _, p := range recipe {
		sum += p.DoseGPerKg
	}
	return sum
}

// leastShare is the smallest s, and not below the floor, for which the undyed wax
// in the cupboard is enough, for a mixture of that recipe.
func (r Request) leastShare(recipe wax.Recipe, floor float64) float64 {
	if r.UndyedG == nil {
		return floor
	}
	whole := r.Batch.UndyedG / (r.Batch.UndyedG + *r.UndyedG)
	part := 1 - *r.UndyedG*(r.besideDye()+doseSum(recipe)/1000)/r.capacityG()
	return max(floor, min(whole, part))
}
