package store

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const composed, decomposed = "Caf\u00e9", "Cafe\u0301"

func TestANameIsOneHoweverItIsTyped(t *testing.T) {
	ctx, s := context.Background(), emptyStore(t)
	dye := bracken()
	dye.Name = decomposed
	require.NoError(t, s.Dyes.Add(ctx, dye))
	got, err := s.Dyes.Get(ctx, composed)
	require.NoError(t, err)
	assert.Equal(t, composed, got.Name)
	dye.Name = composed
	require.ErrorIs(t, s.Dyes.Add(ctx, dye), ErrExists)
	_, err = s.Dyes.Get(ctx, "CAFE\u0301")
	require.NoError(t, err)
}

// Names of an older store that fall together stay two, with their doses, and it is told
// which was given a mark; others are composed, and what was learned with them stays.
func TestNamesThatFallTogetherAreKeptApart(t *testing.T) {
	ctx := context.Background()
	for _, twice := range []bool{false, true} {
		path := shape(t, 7)
		more := fmt.Sprintf("UPDATE dyes SET name = 'Sla\u200bte %s', name_key = 'x' WHERE name = 'Slate';", decomposed)
		if twice {
			more += fmt.Sprintf("INSERT INTO dyes SELECT 77, 'y', 'SLA\u200bTE %s', form, unit_mass_g, max_dose_g_per_kg, price_per_g, lot FROM dyes WHERE name_key = 'x';", composed)
		}
		database(t, path, more+fmt.Sprintf(`UPDATE learned SET model = '{"dyes":"%s"}'`, decomposed))
		s := openAt(t, path)
		c, err := s.Contents(ctx)
		require.NoError(t, err)
		assert.Equal(t, "Sla\ufffdte "+composed, c.Swatches[1].Recipe[1].Dye)
		if twice {
			assert.Equal(t, []string{"SLA\ufffdTE " + composed + " · 77"}, s.KeptApart())
			assert.Empty(t, c.Learned, "it is not known which of them was meant")
		} else {
			assert.Empty(t, s.KeptApart())
			require.Len(t, c.Learned, 1)
			assert.Equal(t, `{"dyes":"`+composed+`"}`, string(c.Learned[0].Model))
		}
		found, err := s.Check(ctx, modelIsFine)
		require.NoError(t, err)
		assert.Empty(t, found.Problems)
		assert.Empty(t, openAt(t, path).KeptApart(), "it is told once")
	}
}

// Words that would command a terminal are refused wherever they are to be kept.
func TestHiddenCharactersAreNotKept(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	for _, hidden := range []string{"\x1b]0;owned\x07", "\u202egnp", "\u200b", "\x00"} {
		dye := bracken()
		dye.Name, dye.Lot = "Gorse", "B"+hidden
		require.ErrorIs(t, s.Dyes.Add(ctx, dye), ErrInvalid, "%q", hidden)
		card := photo("a.jpg")
		card.Name += hidden
		_, err := s.Record(ctx, card, nil)
		require.ErrorIs(t, err, ErrInvalid, "%q", hidden)
		require.ErrorIs(t, validText("a note\n"+hidden), ErrInvalid, "%q", hidden)
	}
	require.NoError(t, validText("a note\r\nof two\tlines"))
}
