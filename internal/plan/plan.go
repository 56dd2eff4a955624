package plan

import (
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Bounds of a plan.
const (
	MaxBytes = 64 << 10
	MaxDrops = 200
)

// UsualCard is the bare card assumed when the plan does not give one: a bright
// neutral white, L* 95.5 (common practice, no source).
var UsualCard = spectrum.Lab{L: 95.5}

// Plan says which drop of a card is which dose.
type Plan struct {
	Wax   string
	State wax.State
	// Thick says that the card shows finished pieces, too thick for the card to show
	// through, in place of drops. They are set.
	Thick bool
	// Card is the colour of the bare card under D65; UsualCard when not given.
	Card spectrum.Lab
	// MassG is what each drop weighs that has no mass of its own, g; 0 when not given.
	MassG float64
	// Light is the light that the card lay in; "" when not given.
	Light wax.Light
	// Rows are the drops in each row from the top, 0 for a row of places of a printed
	// card that are empty; nil when not given, else they sum to the number of drops.
	Rows []int
	// Drops are in order of number, each number once.
	Drops []Drop
}

// Places returns the numbers of the drops where some are left out: they are then those
// of the places of a printed card. It is nil where drops are counted from 1 without a
// gap.
func (p Plan) Places() []int {
	if n := len(p.Drops); n == 0 || p.Drops[n-1].Number == n {
		return nil
	}
	numbers := make([]int, len(p.Drops))
	for i, d := range p.Drops {
		numbers[i] = d.Number
	}
	return numbers
}

// Drop is one drop of the plan.
type Drop struct {
	Number int
	// Parts are the dyes as written; none for undyed wax.
	Parts []Amount
	// MassG is what this drop weighs, g; 0 when not given.
	MassG float64
	// Check marks a drop kept back to test predictions.
	Check bool
}

// Amount is one dye with its quantity as written.
type Amount struct {
	Dye string
	// Value counts units for each kg of undyed wax, above 0.
	Value float64
	Unit  Unit
}

// Unit is what an amount is counted in.
type Unit string

// The units of an amount, each for a kg of undyed wax.
const (
	Gram      Unit = "g/kg"
	Milligram Unit = "mg/kg"
	Chips     Unit = "chips/kg"
	Drops     Unit = "drops/kg"
	Percent   Unit = "%"
)

// gramsPerKg is the g/kg that one of a weighed unit is.
var gramsPerKg = map[Unit]float64{Gram: 1, Milligram: 0.001, Percent: 10}

// unitWords are the ways a unit may be written, in small letters.
var unitWords = map[string]Unit{
	"g/kg": Gram, "mg/kg": Milligram, "%": Percent,
	"chip/kg": Chips, "chips/kg": Chips,
	"drop/kg": Drops, "drops/kg": Drops,
}
