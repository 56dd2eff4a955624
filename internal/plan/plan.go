package plan

import (
	"strings"

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
	// LeftOut marks a drop that lies on the card and of which nothing is kept, such as
	// one that ran.
	LeftOut bool
}

// leftOut is what a plan says in place of the dose of such a drop.
const leftOut = "left out"

// Amount is one dye with its quantity as written.
type Amount struct {
	Dye string
	// Value counts units, above 0.
	Value float64
	Unit  Unit
}

// Unit is what an amount is counted in, and for how much wax.
type Unit string

// The units of an amount, each for a kg or a pound of undyed wax.
const (
	Gram       Unit = "g/kg"
	Milligram  Unit = "mg/kg"
	Chips      Unit = "chips/kg"
	Drops      Unit = "drops/kg"
	Percent    Unit = "%"
	GramPerLb  Unit = "g/lb"
	OuncePerLb Unit = "oz/lb"
	ChipsPerLb Unit = "chips/lb"
	DropsPerLb Unit = "drops/lb"
)

// Units lists every unit in the order they are offered.
func Units() []Unit {
	return []Unit{Gram, Chips, Drops, Milligram, Percent, GramPerLb, OuncePerLb, ChipsPerLb, DropsPerLb}
}

// lbPerKg is how many pounds a kilogram is: the avoirdupois pound is 0.45359237 kg
// exactly, and 16 ounces (NIST Handbook 44, appendix C).
const lbPerKg = 1 / 0.45359237

// scale is what one of a unit is for each kg: grams, or what is counted.
type scale struct {
	counted string // as wax.Form.Unit names it; "" where it is weighed
	perKg   float64
}

var scales = map[Unit]scale{
	Gram: {"", 1}, Milligram: {"", 0.001}, Percent: {"", 10}, GramPerLb: {"", lbPerKg}, OuncePerLb: {"", 1000.0 / 16},
	Chips: {"chip", 1}, ChipsPerLb: {"chip", lbPerKg}, Drops: {"drop", 1}, DropsPerLb: {"drop", lbPerKg},
}

// unitOf reads a unit, one chip or drop of it too, in capitals or not.
func unitOf(word string) (Unit, bool) {
	word = strings.ToLower(word)
	for u, s := range scales {
		if word == string(u) || s.counted != "" && word == strings.Replace(string(u), "s/", "/", 1) {
			return u, true
		}
	}
	return "", false
}
