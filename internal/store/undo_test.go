package store

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// Whatever changes the store is taken back by Undo, and done again by a second one: all
// that it keeps is then as it was, but for the numbers that are not given again.
func TestUndoTakesEveryChangeBack(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	_, err := s.LogBatch(ctx, poured())
	require.NoError(t, err)
	stock := wax.Stock{Wax: "Harrow Soy", Batch: wax.Batch{UndyedG: 120, Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}}, Load: wax.Load{Per: wax.PerWax}}, SetAsideAt: noon}
	_, err = s.KeepStock(ctx, stock)
	require.NoError(t, err)
	begun, err := s.KeepRescue(ctx, Rescue{Wax: "Harrow Soy"}, RescueStep{At: noon, Course: `{"a":1}`}, nil)
	require.NoError(t, err)

	for _, change := range []struct {
		words string
		do    func() error
	}{
		{"wax Beeswax added", func() error { w := soy(); w.Name = "Beeswax"; return s.Waxes.Add(ctx, w) }},
		{"dye Bracken changed", func() error { d := bracken(); d.UnitMassG = 3; return s.Dyes.Update(ctx, "Bracken", d) }},
		{"swatch 2 changed", func() error { return s.SetCheck(ctx, true, 2) }},
		{"swatches 1, 2 and 3 removed, photograph a.jpg removed", func() error { return s.RemoveSwatches(ctx, 1, 2, 3) }},
		{"swatch 7 added, photograph c.jpg added", func() error { _, err := s.Record(ctx, photo("c.jpg"), []wax.Swatch{halved(1)}); return err }},
		{"batch 1 changed", func() error {
			_, err := s.ChangeBatch(ctx, 1, func(p *Poured) error { p.Notes, p.Lots = []string{"frosted"}, nil; return nil })
			return err
		}},
		{"batch 1 removed", func() error { return s.RemoveBatch(ctx, 1) }},
		{"batch 2 added", func() error { _, err := s.LogBatch(ctx, poured()); return err }},
		{"stock 1 changed", func() error {
			_, err := s.ChangeStock(ctx, 1, func(k *wax.Stock) error { k.Recipe[0].DoseGPerKg = 2; return nil })
			return err
		}},
		{"stock 1 removed", func() error { return s.RemoveStock(ctx, 1) }},
		{"stock 2 added, rescue 1 changed", func() error {
			_, err := s.KeepRescue(ctx, begun, RescueStep{At: noon, Course: `{"a":2}`}, &stock)
			return err
		}},
		{"rescue 1 removed", func() error { return s.RemoveRescue(ctx, 1) }},
		{"what was learned of Harrow Soy added", func() error { return s.SaveLearned(ctx, "Harrow Soy", []byte(`{"x":[1.5]}`), noon) }},
	} {
		before := kept(t, s)
		require.NoError(t, change.do(), change.words)
		after := kept(t, s)
		require.NotEqual(t, before, after, change.words)
		said, err := s.LastChange(ctx)
		require.NoError(t, err)
		assert.Equal(t, change.words, said)
		for range 3 { // back, there again, and back
			_, err = s.Undo(ctx)
			require.NoError(t, err, change.words)
			if assert.Equal(t, before, kept(t, s), change.words) {
				before, after = after, before
			}
		}
		found, err := s.Check(ctx, func([]byte) error { return nil })
		require.NoError(t, err)
		assert.Empty(t, found.Problems, change.words)
		assert.Empty(t, found.Strays, change.words)
	}
}

// kept is all that a store keeps, without the numbers given last.
func kept(t *testing.T, s *Store) Contents {
	t.Helper()
	c, err := s.Contents(context.Background())
	require.NoError(t, err)
	c.LastSwatch, c.LastBatch, c.LastStock, c.LastRescue = 0, 0, 0, 0
	return c
}

// What changes nothing, or fails, leaves the last change to be taken back; so does
// closing the store. A copy begins with nothing to undo.
func TestUndoOutlivesWhatChangesNothing(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	require.NoError(t, s.RemoveSwatches(ctx, 1, 2, 3))
	require.Error(t, s.RemoveStock(ctx, 9))
	require.NoError(t, s.RemoveSwatches(ctx))
	copied := filepath.Join(t.TempDir(), "copy.db")
	_, err := s.Backup(ctx, func([]byte) error { return nil }, copied)
	require.NoError(t, err)
	_, err = openAt(t, copied).Undo(ctx)
	assert.ErrorIs(t, err, ErrNotFound)

	again := openAt(t, s.Path())
	said, err := again.Undo(ctx)
	require.NoError(t, err)
	assert.Equal(t, "swatches 1, 2 and 3 removed, photograph a.jpg removed", said)
	p, err := again.Photo(ctx, hashOf(photo("a.jpg").Bytes))
	require.NoError(t, err)
	assert.Equal(t, photo("a.jpg").Bytes, p.Bytes)
}

func TestRescueIsKeptWithItsStock(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	step := func(course string) RescueStep { return RescueStep{At: noon, Course: course} }
	aside := &wax.Stock{Wax: "Harrow Soy", Batch: wax.Batch{UndyedG: 120, Load: wax.Load{Per: wax.PerWax}}, SetAsideAt: noon}
	_, err := s.KeepRescue(ctx, Rescue{Wax: "harrow soy"}, step(`{"a":`), aside)
	require.ErrorIs(t, err, ErrInvalid)
	stocks, err := s.Stocks(ctx)
	require.NoError(t, err)
	assert.Empty(t, stocks, "the stock comes with the rescue or not at all")

	begun, err := s.KeepRescue(ctx, Rescue{Wax: "harrow soy"}, step(`{"a":1}`), nil)
	require.NoError(t, err)
	assert.Equal(t, Rescue{Number: begun.Number, Wax: "Harrow Soy", BegunAt: noon, Steps: []RescueStep{step(`{"a":1}`)}}, begun)
	_, _, err = s.TakeRescueBack(ctx, begun.Number)
	assert.ErrorIs(t, err, ErrInUse)
	followed, err := s.KeepRescue(ctx, begun, step(`{"a":2}`), aside)
	require.NoError(t, err)
	require.Len(t, followed.Steps, 2)
	_, err = s.KeepRescue(ctx, begun, step(`{"a":3}`), nil)
	assert.ErrorIs(t, err, ErrExists, "it went on meanwhile")

	back, gone, err := s.TakeRescueBack(ctx, begun.Number)
	require.NoError(t, err)
	assert.Equal(t, begun, back)
	assert.Equal(t, followed.Steps[1].Stock, gone)
	_, err = s.Stock(ctx, gone)
	assert.ErrorIs(t, err, ErrNotFound)

	linked, err := s.LinkRescue(ctx, begun.Number, 4)
	require.NoError(t, err)
	assert.EqualValues(t, 4, linked.SwatchID)
	_, err = s.LinkRescue(ctx, begun.Number, 99)
	assert.ErrorIs(t, err, ErrNotFound)
	assert.ErrorIs(t, s.Waxes.Remove(ctx, "Harrow Soy"), ErrInUse)
	require.NoError(t, s.RemoveRescue(ctx, begun.Number))
	_, err = s.Rescue(ctx, begun.Number)
	assert.ErrorIs(t, err, ErrNotFound)
}
