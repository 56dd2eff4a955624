package card

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCodeThereAndBack(t *testing.T) {
	for _, s := range Sizes() {
		g, err := Layout(s).Code.Decode()
		require.NoError(t, err)
		assert.Equal(t, Layout(s), g)
	}
}

// The cells as printed, worked out by hand: version 1 is 00001, the paper 00 or
// 01, the parity makes the ones odd, and the mask is 10011010.
func TestCodeByHand(t *testing.T) {
	const yes, no = true, false
	assert.Equal(t, Code{yes, no, no, yes, no, no, yes, no}, Layout(A5).Code)
	assert.Equal(t, Code{yes, no, no, yes, no, no, no, yes}, Layout(HalfLetter).Code)
}

func TestWrongCellsAreNoticed(t *testing.T) {
	for _, s := range Sizes() {
		for i := range CodeCells {
			c := Layout(s).Code
			c[i] = !c[i]
			_, err := c.Decode()
			assert.ErrorIs(t, err, ErrCodeUnreadable, "%s, cell %d", s, i+1)
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
}

// Of all rows, only the two that are printed are taken for a card.
func TestOnlyOurCardsAreKnown(t *testing.T) {
	known, unknown := 0, 0
	for bits := range 1 << CodeCells {
		var c Code
		for i := range c {
			c[i] = bits>>i&1 == 1
		}
		switch _, err := c.Decode(); err {
		case nil:
			known++
		case ErrCodeUnknown:
			unknown++
		}
	}
	assert.Equal(t, len(Sizes()), known)
	assert.Equal(t, 1<<(CodeCells-1)-len(Sizes()), unknown)
}
