package card

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// everyCard is the layout of each print on each paper.
func everyCard() (all []Geometry) {
	for _, s := range Sizes() {
		for number := 1; number <= LastPrint; number++ {
			all = append(all, LayoutOfPrint(s, number))
		}
	}
	return all
}

func TestCodeThereAndBack(t *testing.T) {
	for _, want := range everyCard() {
		g, err := want.Code.Decode()
		require.NoError(t, err)
		assert.Equal(t, want, g)
	}
}

// cellsOf writes a row as it looks: # for black.
func cellsOf(row string) (c Code) {
	for i := range row {
		c[i] = row[i] == '#'
	}
	return c
}

// The cells as printed, worked out by hand: version 1 is 00001, the paper 00 or
// 01, the parity makes the ones odd, and the mask is 10011010. Such cards had been
// printed before prints had numbers.
func TestCodeByHand(t *testing.T) {
	assert.Equal(t, cellsOf(".......#..#..#."), Layout(A5).Code)
	assert.Equal(t, cellsOf(".......#..#...#"), Layout(HalfLetter).Code)
	// Print 6 is 00110: its cells 2 and 4 have one one, and so have cells 1, 3 and 5, so
	// that both parities are 0; the mask is 1101001. Version 30 is 11110, its parity 1.
	assert.Equal(t, cellsOf("###...#.##.#.##"), LayoutOfPrint(A5, 6).Code)
}

func TestWrongCellsAreNoticed(t *testing.T) {
	for _, g := range everyCard() {
		for i := range CodeCells {
			if g.PrintNumber == 1 && i < firstCell {
				continue
			}
			c := g.Code
			c[i] = !c[i]
			_, err := c.Decode()
			assert.ErrorIs(t, err, ErrCodeUnreadable, "%s, cell %d", g.Print(), i+1)
		}
	}
	var white, black Code
	for i := range black {
		black[i] = true
	}
	for _, c := range []Code{white, black} {
		_, err := c.Decode()
		assert.ErrorIs(t, err, ErrCodeUnreadable)
	}
	for _, fill := range []Code{white, black} { // under a splash along the number
		c := LayoutOfPrint(A5, 9).Code
		copy(c[:firstCell], fill[:])
		_, err := c.Decode()
		assert.ErrorIs(t, err, ErrCodeUnreadable)
	}
}

// Two wrong cells beside each other never make another print.
func TestSplashOverTwoCellsMakesNoOtherPrint(t *testing.T) {
	for _, g := range everyCard() {
		for i := range CodeCells - 1 {
			c := g.Code
			c[i], c[i+1] = !c[i], !c[i+1]
			if read, err := c.Decode(); err == nil {
				assert.Equal(t, g.PrintNumber, read.PrintNumber, "%s, cell %d", g.Print(), i+1)
			}
		}
	}
}

// What is written or spilt where a first print has no cells changes nothing.
func TestFirstPrintHasEightCells(t *testing.T) {
	for bits := range 1 << firstCell {
		c := Layout(A5).Code
		for i := range firstCell {
			c[i] = bits>>i&1 == 1
		}
		g, err := c.Decode()
		require.NoError(t, err)
		assert.Equal(t, Layout(A5), g)
	}
}

// Of all rows, only those that are printed are taken for a card: of the last eight
// cells two for the first print and two for the others, and of the first seven one
// for each number.
func TestOnlyOurCardsAreKnown(t *testing.T) {
	rows, prints := map[Code]bool{}, map[string]int{}
	for bits := range 1 << CodeCells {
		var c Code
		for i := range c {
			c[i] = bits>>i&1 == 1
		}
		g, err := c.Decode()
		if err != nil {
			continue
		}
		var last Code
		copy(last[firstCell:], c[firstCell:])
		rows[last] = true
		prints[g.Print()]++
		assert.True(t, g.PrintNumber == 1 || c == g.Code)
	}
	assert.Len(t, rows, 2*len(Sizes()))
	assert.Len(t, prints, LastPrint*len(Sizes()))
}

// One cell that is not seen, or two beside each other, leave the print told; the last
// two leave the paper open.
func TestCellsNotSeen(t *testing.T) {
	for _, want := range everyCard() {
		for i := range CodeCells - 1 {
			seen := Code{}
			for k := range seen {
				seen[k] = k != i && k != i+1
			}
			spoilt := want.Code
			spoilt[i], spoilt[i+1] = !spoilt[i], !spoilt[i+1]
			fitting := spoilt.Fitting(seen)
			if i == CodeCells-2 {
				assert.Len(t, fitting, len(Sizes()), want.Print())
				continue
			}
			assert.Equal(t, []Geometry{want}, fitting, "%s, cells %d and %d", want.Print(), i+1, i+2)
		}
	}
	assert.Empty(t, Code{}.Fitting(cellsOf("###############")))
	assert.Len(t, Code{}.Fitting(Code{}), LastPrint*len(Sizes()))
}
