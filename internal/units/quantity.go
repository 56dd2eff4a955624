package units

import (
	"fmt"
	"math"
	"strconv"

	"setshade/internal/plan"
)

// Quantity is a number with its unit, as the maker wrote it.
type Quantity struct {
	// Value counts units; finite, not negative.
	Value float64
	Unit  Unit
}

// Grams returns a mass in grams. It panics when the quantity is no mass.
func (q Quantity) Grams() float64 { return q.In(Gram).Value }

// Millilitres returns a volume in millilitres. It panics when the quantity is
// no volume.
func (q Quantity) Millilitres() float64 { return q.In(Millilitre).Value }

// In returns the same quantity in another unit of its dimension:
//
//	value × size of its unit / size of the other
//
// It panics between dimensions, and between counts: what a chip weighs is the
// dye's own record.
func (q Quantity) In(other Unit) Quantity {
	if q.Unit == other {
		return q
	}
	from, to := q.Unit.definition(), other.definition()
	if from.dimension != to.dimension || from.size == 0 {
		panic(fmt.Sprintf("units: %s does not convert to %s", q.Unit, other))
	}
	return Quantity{q.Value * from.size / to.size, other}
}

// String writes the quantity so that Parse reads it back unchanged: the
// shortest decimal, and for counts a fraction where there is a usual one, as in
// "1 1/2 chips".
func (q Quantity) String() string {
	d := q.Unit.definition()
	number := strconv.FormatFloat(q.Value, 'f', -1, 64)
	if d.dimension == Count {
		if fraction, ok := formatFraction(q.Value); ok {
			number = fraction
		}
	}
	return number + " " + d.written(q.Value)
}

// formatFraction writes halves, quarters, eighths and thirds: "1/4", "2 2/3".
func formatFraction(v float64) (string, bool) {
	whole, part := math.Modf(v)
	if part == 0 || whole > plan.MaxWhole {
		return "", false
	}
	for _, below := range []int{2, 4, 8, 3} {
		above := int(math.Round(part * float64(below)))
		if above == 0 || above == below || whole+float64(above)/float64(below) != v {
			continue
		}
		fraction := fmt.Sprintf("%d/%d", above, below)
		if whole > 0 {
			fraction = fmt.Sprintf("%.0f %s", whole, fraction)
		}
		return fraction, true
	}
	return "", false
}
