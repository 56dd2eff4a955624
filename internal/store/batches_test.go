package store

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// poured is an invented batch; every number in it differs.
func poured() Poured {
	return Poured{
		Wax: "Harrow Soy", PouredAt: noon, Portion: "piece",
		Colours: []PouredColour{
			{
				Name: "Dusk", Portions: 16,
				Batch: wax.Batch{
					UndyedG: 703.9 / 3, Load: wax.Load{Percent: 8.25, Per: wax.PerTotal},
					Additives: []wax.Additive{{Name: "Stearin", Percent: 1. / 3}, {Name: "Härter", Percent: 2}},
					Recipe:    wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2. / 3}, {Dye: "Slate", DoseGPerKg: 0.1 + 0.2}},
				},
				Promise: &Promise{
					Piece: Foretold{spectrum.Lab{L: 63.1, A: -0.1, B: 5.5}, 1. / 7},
					Drop:  Foretold{spectrum.Lab{L: 64.2, A: 18.3, B: -5.4}, 1.25},
				},
			},
			{Name: "Écru", Portions: 2.5, Batch: wax.Batch{UndyedG: 352.25, Load: wax.Load{Per: wax.PerWax}}},
		},
		Lots:  []Lot{{"Bracken", "B-07/25"}, {"fragrance", `"7" – ø`}, {"Harrow Soy", "W 12"}},
		Notes: []string{"frosted at the rim", "poured 2 °C cooler"},
	}
}

func TestABatchComesBackAsItWasPoured(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	none, err := s.Batches(ctx)
	require.NoError(t, err)
	assert.Empty(t, none)

	want := poured()
	got, err := s.LogBatch(ctx, want)
	require.NoError(t, err)
	assert.Equal(t, int64(1), got.ID)
	want.ID = got.ID
	assert.Equal(t, want, got, "to the last bit")

	plain := Poured{Wax: "harrow soy", PouredAt: noon.Add(time.Hour), Portion: "scoop", Colours: []PouredColour{
		{Batch: wax.Batch{UndyedG: 60, Load: wax.Load{Per: wax.PerWax}}, Portions: 1},
	}}
	second, err := s.LogBatch(ctx, plain)
	require.NoError(t, err)
	plain.ID, plain.Wax = 2, "Harrow Soy"
	assert.Equal(t, plain, second)

	all, err := openAt(t, s.Path()).Batches(ctx)
	require.NoError(t, err)
	assert.Equal(t, []Poured{want, plain}, all)
	one, err := s.Batch(ctx, 2)
	require.NoError(t, err)
	assert.Equal(t, plain, one)
	_, err = s.Batch(ctx, 3)
	assert.ErrorIs(t, err, ErrNotFound)
	assert.EqualError(t, err, "there is no batch 3 in the log")
}

func TestNotesLotsAndSwatchesOfABatchChange(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	drops, err := s.Record(ctx, photo("dusk.jpg"), []wax.Swatch{swatch(1, wax.Part{Dye: "Bracken", DoseGPerKg: 0.5})})
	require.NoError(t, err)
	want, err := s.LogBatch(ctx, poured())
	require.NoError(t, err)

	got, err := s.ChangeBatch(ctx, want.ID, func(p *Poured) error {
		p.Colours[0].SwatchID = drops[0].ID
		p.Colours[0].UndyedG = 1 // poured is poured
		p.Lots = []Lot{{"wick", "K3"}, {"Bracken", "B-08/25"}}
		p.Notes = append(p.Notes, "no frosting after a week")
		return nil
	})
	require.NoError(t, err)
	want.Colours[0].SwatchID = drops[0].ID
	want.Lots = []Lot{{"Bracken", "B-08/25"}, {"wick", "K3"}}
	want.Notes = append(want.Notes, "no frosting after a week")
	assert.Equal(t, want, got)

	_, err = s.ChangeBatch(ctx, want.ID, func(p *Poured) error { p.Notes, p.Colours[1].SwatchID = nil, 99; return nil })
	assert.ErrorIs(t, err, ErrNotFound)
	unchanged, err := s.Batch(ctx, want.ID)
	require.NoError(t, err)
	assert.Equal(t, want, unchanged, "all or nothing")

	require.NoError(t, s.RemoveSwatches(ctx, drops[0].ID), "the log does not hold a swatch back")
	got, err = s.Batch(ctx, want.ID)
	require.NoError(t, err)
	assert.Zero(t, got.Colours[0].SwatchID)
}

func TestABatchHoldsItsWaxAndDyes(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	p, err := s.LogBatch(ctx, poured())
	require.NoError(t, err)
	assert.EqualError(t, s.Dyes.Remove(ctx, "Slate"), "the dye Slate cannot be removed while 1 batch uses it; remove that batch first")
	err = s.Waxes.Remove(ctx, "Harrow Soy")
	assert.ErrorIs(t, err, ErrInUse)

	renamed := slate()
	renamed.Name = "Slate Hill"
	require.NoError(t, s.Dyes.Update(ctx, "Slate", renamed))
	got, err := s.Batch(ctx, p.ID)
	require.NoError(t, err)
	assert.Equal(t, 0.1+0.2, got.Colours[0].Recipe.Dose("Slate Hill"))

	require.NoError(t, s.RemoveBatch(ctx, p.ID))
	assert.ErrorIs(t, s.RemoveBatch(ctx, p.ID), ErrNotFound)
	for _, table := range []string{"batches", "batch_colours", "batch_parts", "batch_lots", "batch_additives"} {
		assert.Zero(t, count(t, s, table), table)
	}
	require.NoError(t, s.Dyes.Remove(ctx, "Slate Hill"))
	next, err := s.LogBatch(ctx, Poured{Wax: "Harrow Soy", PouredAt: noon, Portion: "piece", Colours: poured().Colours[1:]})
	require.NoError(t, err)
	assert.Equal(t, p.ID+1, next.ID, "a number is never given again")
}

func TestBatchesThatCannotBeAreRefusedWhole(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	for name, c := range map[string]struct {
		spoil func(*Poured)
		kind  error
	}{
		"no colour":        {func(p *Poured) { p.Colours = nil }, ErrInvalid},
		"no wax in a pot":  {func(p *Poured) { p.Colours[1].UndyedG = 0 }, ErrInvalid},
		"mass NaN":         {func(p *Poured) { p.Colours[0].UndyedG = math.NaN() }, ErrInvalid},
		"portions NaN":     {func(p *Poured) { p.Colours[0].Portions = math.NaN() }, ErrInvalid},
		"promise NaN":      {func(p *Poured) { p.Colours[0].Promise.Drop.Lab.A = math.NaN() }, ErrInvalid},
		"same name":        {func(p *Poured) { p.Colours[0].Name = "éCRU" }, ErrInvalid},
		"name not UTF-8":   {func(p *Poured) { p.Colours[0].Name = "\xff" }, ErrInvalid},
		"note not UTF-8":   {func(p *Poured) { p.Notes[0] = "\x00" }, ErrInvalid},
		"note too long":    {func(p *Poured) { p.Notes[0] = strings.Repeat("a", MaxNoteBytes+1) }, ErrInvalid},
		"lot of nothing":   {func(p *Poured) { p.Lots[0].Of = " " }, ErrInvalid},
		"lot twice":        {func(p *Poured) { p.Lots[1].Of = "BRACKEN" }, ErrInvalid},
		"unknown wax":      {func(p *Poured) { p.Wax = "Pillar" }, ErrNotFound},
		"unknown dye":      {func(p *Poured) { p.Colours[0].Recipe[1].Dye = "Sorrel" }, ErrNotFound},
		"unknown swatch":   {func(p *Poured) { p.Colours[0].SwatchID = 5 }, ErrNotFound},
		"load of nothing":  {func(p *Poured) { p.Colours[0].Load.Per = "" }, ErrInvalid},
		"the same dye two": {func(p *Poured) { p.Colours[0].Recipe[1].Dye = "Bracken" }, ErrInvalid},
		"in two spellings": {func(p *Poured) { p.Colours[0].Recipe[1].Dye = "BRACKEN" }, ErrInvalid},
	} {
		p := poured()
		c.spoil(&p)
		_, err := s.LogBatch(ctx, p)
		assert.ErrorIs(t, err, c.kind, name)
		assert.Zero(t, count(t, s, "batches"), name)
	}
	p := poured()
	p.PouredAt = time.Time{}
	assert.Panics(t, func() { s.LogBatch(ctx, p) })
}
