package batch

import "strconv"

// Figure is a temperature or a time from the wax's record. The zero Figure
// stands where none applies.
type Figure struct {
	Value float64
	// Unit is "°C", "min" or "h".
	Unit string
	// Known is false when the figure applies and is not recorded.
	Known bool
}

// NotRecorded is what a figure says that nobody has recorded.
const NotRecorded = "not recorded: ask the supplier"

// String writes the figure with its unit, NotRecorded, or "" where none
// applies.
func (f Figure) String() string {
	switch {
	case f.Unit == "":
		return ""
	case !f.Known:
		return NotRecorded
	}
	return strconv.FormatFloat(f.Value, 'g', 6, 64) + " " + f.Unit
}

// recorded is a figure of wax.Bench, where 0 means not recorded.
func recorded(value float64, unit string) Figure { return Figure{value, unit, value != 0} }

// plus adds two times; the sum is known when both are.
func (f Figure) plus(other Figure) Figure {
	if !f.Known || !other.Known {
		return Figure{Unit: f.Unit}
	}
	return Figure{f.Value + other.Value, f.Unit, true}
}
