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
	// Rows are the drops in each row from the top; nil when not given, else
	// they sum to the number of drops.
	Rows []int
	// Drops are in order of number, from 1 without gap.
	Drops []Drop
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
