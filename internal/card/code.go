package card

import "errors"

// Version is that of the card described here. A card with other marks or other
// places gets the next number, and a reader knows them all.
const Version = 1

// Code is the row of cells that says which card this is, from left to right, true
// for black. Before masking:
//
//	cells 1-5  the version, 1 to 31, highest bit first
//	cells 6-7  the paper: 0 A5, 1 half Letter
//	cell 8     the parity: cells 1-8 have an odd number of ones
//
// Then the cells of mask are turned over, so that a row shows both black and
// white. One wrong cell, or any odd number of them, is always noticed, and so is a
// row that is white or black throughout.
type Code [CodeCells]bool

// CodeCells is the number of cells of a Code; even, so that a black row is wrong.
const CodeCells = 8

// mask turns about half of the cells over; an even number, which leaves the parity
// as it is.
var mask = Code{true, false, false, true, true, false, true, false}

const (
	versionBits = 5
	paperBits   = 2
)

// codeOf returns the cells of this version on a paper.
func codeOf(s Size) Code {
	var c Code
	value := Version<<paperBits | int(s)
	odd := false
	for i := range versionBits + paperBits {
		c[i] = value>>(versionBits+paperBits-1-i)&1 == 1
		odd = odd != c[i]
	}
	c[CodeCells-1] = !odd
	return c.masked()
}

// masked turns the cells of mask over; twice, it changes nothing.
func (c Code) masked() Code {
	for i := range c {
		c[i] = c[i] != mask[i]
	}
	return c
}

// Errors of Decode.
var (
	ErrCodeUnreadable = errors.New("the row of black and white cells at the bottom of the card does not read: " +
		"wipe wax off it, keep shadows from it, and photograph the card again")
	ErrCodeUnknown = errors.New("the card is of a kind that this setshade does not know: " +
		"print a card with this setshade, or read the photograph with a newer one")
)

// Decode returns the layout of the card that a row of cells stands for, or
// ErrCodeUnreadable or ErrCodeUnknown.
func (c Code) Decode() (Geometry, error) {
	value, odd := 0, false
	for i, cell := range c.masked() {
		odd = odd != cell
		if i < versionBits+paperBits {
			value <<= 1
			if cell {
				value |= 1
			}
		}
	}
	if !odd {
		return Geometry{}, ErrCodeUnreadable
	}
	size := Size(value & (1<<paperBits - 1))
	if value>>paperBits != Version || int(size) >= len(Sizes()) {
		return Geometry{}, ErrCodeUnknown
	}
	return Layout(size), nil
}
