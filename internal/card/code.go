package card

import "errors"

// Version is that of the card described here. A card with other marks or other
// places gets the next number, and a reader knows them all.
const Version = 1

// LastPrint is the highest number that a print can have; the first is 1.
const LastPrint = 1<<printBits - 1

// Code is the row of cells that says which card this is, from left to right, true
// for black. Before masking:
//
//	cells 1-5    the number of the print, highest bit first
//	cell 6       its even parity: cells 2, 4 and 6 have an odd number of ones
//	cell 7       its odd parity: cells 1, 3, 5 and 7 have an odd number of ones
//	cells 8-12   the version, highest bit first: 1 for the first print, 30 for others
//	cells 13-14  the paper: 0 A5, 1 half Letter
//	cell 15      the parity: cells 8-15 have an odd number of ones
//
// Then the cells of mask are turned over, so that a row shows both black and
// white. Cells 1-7 are left white on the first print, and what stands there is not
// looked at: cards were printed before prints had numbers.
//
// One wrong cell is always noticed, and so is a row that is white or black
// throughout. Two wrong cells beside each other, as a splash makes them, never turn
// one print into another, since they change both of its parities; only the last two
// together turn one paper into the other.
type Code [CodeCells]bool

// CodeCells is the number of cells of a Code, firstCell the first of those that every
// card has.
const (
	CodeCells = firstCell + versionBits + paperBits + 1
	firstCell = printBits + 2
)

// mask turns about half of the cells over; of each parity an even number, which
// leaves it as it is.
var mask = Code{
	true, true, false, true, false, false, true,
	true, false, false, true, true, false, true, false,
}

const (
	printBits   = 5
	versionBits = 5
	paperBits   = 2
	// numberedCode stands for Version with a number of print in cells 1-7. It has
	// hardly a cell in common with Version.
	numberedCode = 30
)

// codeOf returns the cells of this version on a paper and of a print.
func codeOf(s Size, print int) Code {
	var c Code
	if print == 1 {
		c.write(firstCell, versionBits+paperBits, Version<<paperBits|int(s))
	} else {
		c.write(firstCell, versionBits+paperBits, numberedCode<<paperBits|int(s))
		c.write(0, printBits, print)
		c[printBits] = !c.isOdd(1, printBits, 2)
		c[printBits+1] = !c.isOdd(0, printBits, 2)
	}
	c[CodeCells-1] = !c.isOdd(firstCell, CodeCells-1, 1)
	c = c.masked()
	if print == 1 {
		clear(c[:firstCell])
	}
	return c
}

// write puts a number into so many cells from one on, highest bit first.
func (c *Code) write(from, bits, value int) {
	for i := range bits {
		c[from+i] = value>>(bits-1-i)&1 == 1
	}
}

// read returns the number in so many cells from one on.
func (c Code) read(from, bits int) (value int) {
	for _, cell := range c[from : from+bits] {
		value <<= 1
		if cell {
			value |= 1
		}
	}
	return value
}

// isOdd reports whether there is an odd number of ones in every step-th cell from
// one on and before another.
func (c Code) isOdd(from, before, step int) (odd bool) {
	for i := from; i < before; i += step {
		odd = odd != c[i]
	}
	return odd
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
	c = c.masked()
	if !c.isOdd(firstCell, CodeCells, 1) {
		return Geometry{}, ErrCodeUnreadable
	}
	version, size := c.read(firstCell, versionBits), Size(c.read(firstCell+versionBits, paperBits))
	if version != Version && version != numberedCode || int(size) >= len(Sizes()) {
		return Geometry{}, ErrCodeUnknown
	}
	if version == Version {
		return Layout(size), nil
	}
	print := c.read(0, printBits)
	if !c.isOdd(0, firstCell, 2) || !c.isOdd(1, firstCell, 2) || print < 2 {
		return Geometry{}, ErrCodeUnreadable
	}
	return LayoutOfPrint(size, print), nil
}

// Fitting returns the layouts whose rows of cells agree with this one in the cells that
// were seen, in any order; where nothing was seen that is all of them. The first cells
// of a first print are white.
func (c Code) Fitting(seen Code) (all []Geometry) {
	for _, s := range Sizes() {
		for number := 1; number <= LastPrint; number++ {
			printed, agrees := codeOf(s, number), true
			for i := range printed {
				agrees = agrees && (printed[i] == c[i] || !seen[i])
			}
			if agrees {
				all = append(all, LayoutOfPrint(s, number))
			}
		}
	}
	return all
}
