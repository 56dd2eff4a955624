package store

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTakeLot(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	before, err := s.Dyes.Get(ctx, "Slate")
	require.NoError(t, err)
	old, lot := before, before
	old.Name, lot.Lot = "Slate L1", "L2"
	require.NoError(t, s.SetCheck(ctx, true, 2))

	taken := old
	taken.Name = "Bracken"
	assert.ErrorIs(t, s.TakeLot(ctx, "Slate", taken, lot, 2), ErrExists)
	assert.ErrorIs(t, s.TakeLot(ctx, "Slate", old, lot, 99), ErrNotFound)
	assert.ErrorIs(t, s.TakeLot(ctx, "Gorse", old, lot, 2), ErrNotFound)
	unchanged, err := s.Dyes.List(ctx)
	require.NoError(t, err)
	require.Len(t, unchanged, 2)
	assert.Contains(t, unchanged, before)

	require.NoError(t, s.TakeLot(ctx, "slate", old, lot, 2))
	told, err := s.Swatch(ctx, 2)
	require.NoError(t, err)
	assert.Equal(t, "Slate", told.Recipe[0].Dye)
	assert.False(t, told.Check)
	ofOld, err := s.Swatches(ctx, Filter{Dye: "Slate L1"})
	require.NoError(t, err)
	assert.Equal(t, []int64{3, 5}, idsOf(ofOld), "the others are of the old lot")
	newest, err := s.Dyes.Get(ctx, "Slate")
	require.NoError(t, err)
	assert.Equal(t, lot, newest)
}
