package workshop

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
)

// Each sheet comes with the card that goes on it twice: A5 is half of A4 (ISO 216), and
// half-letter half of letter.
func TestPapersHoldTheCardsThatFit(t *testing.T) {
	cards := map[string]card.Size{"A4": card.A5, "letter": card.HalfLetter, "A5": card.A5, "half-letter": card.HalfLetter}
	papers := Papers()
	require.Len(t, papers, len(cards))
	for _, p := range papers {
		assert.Equal(t, cards[p.Name], p.Card, p.Name)
		if p.Sheet != nil {
			assert.Len(t, p.Sheet.Corners, 2, p.Name)
		}
		g, err := CardOfPrint(p.Card, card.LastPrint)
		require.NoError(t, err)
		var file bytes.Buffer
		require.NoError(t, WriteCard(&file, g, p.Sheet))
		assert.True(t, bytes.HasPrefix(file.Bytes(), []byte("%PDF-")), p.Name)
	}
	found, err := PaperNamed("LETTER")
	require.NoError(t, err)
	assert.Equal(t, papers[1], found)
	_, err = PaperNamed("A3")
	assert.ErrorContains(t, err, `"A3" is not a paper`)
	for _, number := range []int{0, -1, card.LastPrint + 1} {
		_, err = CardOfPrint(card.A5, number)
		assert.ErrorContains(t, err, "prints are numbered 1 to 31")
	}
}
