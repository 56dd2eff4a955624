package store

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// ladderStore has swatches 1 to 6 over two photographs:
//
//	1 undyed set, 2 Slate set, 3 Slate + Bracken liquid  (Harrow Soy, a.jpg)
//	4 Bracken set, 5 Slate set, 6 undyed liquid          (Harrow Coco, b.jpg)
func ladderStore(t testing.TB) *Store {
	ctx, s := context.Background(), stockedStore(t)
	coco := soy()
	coco.Name = "Harrow Coco"
	require.NoError(t, s.Waxes.Add(ctx, coco))
	slate, bracken := wax.Part{Dye: "Slate", DoseGPerKg: 1}, wax.Part{Dye: "Bracken", DoseGPerKg: 2}
	a := []wax.Swatch{swatch(1), swatch(2, slate), swatch(3, slate, bracken)}
	b := []wax.Swatch{swatch(1, bracken), swatch(2, slate), swatch(3)}
	a[2].State, b[2].State = wax.LiquidState, wax.LiquidState
	for i := range b {
		b[i].Wax = "Harrow Coco"
	}
	_, err := s.Record(ctx, photo("a.jpg"), a)
	require.NoError(t, err)
	_, err = s.Record(ctx, photo("b.jpg"), b)
	require.NoError(t, err)
	return s
}

func idsOf(swatches []wax.Swatch) []int64 {
	ids := []int64{}
	for _, sw := range swatches {
		ids = append(ids, sw.ID)
	}
	return ids
}

func TestSwatchesFilter(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	for name, tt := range map[string]struct {
		filter Filter
		want   []int64
	}{
		"all":           {Filter{}, []int64{1, 2, 3, 4, 5, 6}},
		"wax":           {Filter{Wax: "harrow coco"}, []int64{4, 5, 6}},
		"dye":           {Filter{Dye: "SLATE"}, []int64{2, 3, 5}},
		"state":         {Filter{State: wax.LiquidState}, []int64{3, 6}},
		"ids":           {Filter{IDs: []int64{5, 2, 99, 2}}, []int64{2, 5}},
		"all at once":   {Filter{Wax: "Harrow Soy", Dye: "Slate", State: wax.SetState, IDs: []int64{1, 2, 3}}, []int64{2}},
		"first page":    {Filter{Limit: 2}, []int64{1, 2}},
		"next page":     {Filter{Limit: 2, After: 2}, []int64{3, 4}},
		"page of a dye": {Filter{Dye: "Slate", Limit: 1, After: 2}, []int64{3}},
		"past the end":  {Filter{After: 6}, []int64{}},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := s.Swatches(ctx, tt.filter)
			require.NoError(t, err)
			assert.Equal(t, tt.want, idsOf(got))
		})
	}
}

func TestAskingForADyeKeepsTheWholeRecipe(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	got, err := s.Swatches(ctx, Filter{Dye: "Slate", IDs: []int64{3}})
	require.NoError(t, err)
	require.Len(t, got, 1)
	assert.Equal(t, wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}, {Dye: "Slate", DoseGPerKg: 1}}, got[0].Recipe)
}

func TestSwatchesOfTheUnknown(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	_, err := s.Swatches(ctx, Filter{Dye: "Fern"})
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = s.Swatches(ctx, Filter{Wax: "Tallow"})
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = s.Swatch(ctx, 99)
	require.ErrorIs(t, err, ErrNotFound)
	assert.EqualError(t, err, "there is no swatch 99 in the store")
}

func TestSetCheck(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	kept := func() (ids []int64) {
		all, err := s.Swatches(ctx, Filter{})
		require.NoError(t, err)
		for _, sw := range all {
			if sw.Check {
				ids = append(ids, sw.ID)
			}
		}
		return ids
	}
	require.NoError(t, s.SetCheck(ctx, true, 2, 5))
	assert.Equal(t, []int64{2, 5}, kept())
	require.NoError(t, s.SetCheck(ctx, false, 2))
	assert.Equal(t, []int64{5}, kept())
	assert.ErrorIs(t, s.SetCheck(ctx, true, 1, 99), ErrNotFound)
	assert.Equal(t, []int64{5}, kept())
}

func TestRemoveSwatches(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	file := func(name string) string { return s.photos.file(hashOf(photo(name).Bytes)) }

	err := s.RemoveSwatches(ctx, 1, 98, 99)
	require.ErrorIs(t, err, ErrNotFound)
	assert.EqualError(t, err, "not in the store: swatches 98 to 99; nothing was changed")
	assert.Equal(t, 6, count(t, s, "swatches"))
	require.NoError(t, s.RemoveSwatches(ctx))

	require.NoError(t, s.RemoveSwatches(ctx, 1, 2))
	assert.FileExists(t, file("a.jpg"), "swatch 3 still needs it")
	require.NoError(t, s.RemoveSwatches(ctx, 3, 4, 3))
	assert.FileExists(t, file("a.jpg"), "undo would bring it back")
	require.NoError(t, s.SetCheck(ctx, true, 5))
	assert.NoFileExists(t, file("a.jpg"))
	assert.FileExists(t, file("b.jpg"))
	assert.Equal(t, 1, count(t, s, "photos"))
	assert.Equal(t, 1, count(t, s, "swatch_parts"), "parts go with their swatch")
	left, err := s.Swatches(ctx, Filter{})
	require.NoError(t, err)
	assert.Equal(t, []int64{5, 6}, idsOf(left))
}

// hundredThousand is a store of so many swatches.
func hundredThousand(b *testing.B) *Store {
	ctx, s := context.Background(), stockedStore(b)
	rare := wax.Dye{Name: "Rare", Form: wax.Powder}
	require.NoError(b, s.Dyes.Add(ctx, rare))
	for card := range 20 {
		swatches := make([]wax.Swatch, 5000)
		for i := range swatches {
			parts := []wax.Part{{Dye: "Slate", DoseGPerKg: 1}, {Dye: "Bracken", DoseGPerKg: 2}}
			swatches[i] = swatch(1+i%20, parts[:i%3]...)
			swatches[i].Drop = i + 1
			if i%1000 == 0 {
				swatches[i].Recipe = append(swatches[i].Recipe, wax.Part{Dye: "Rare", DoseGPerKg: 3})
			}
		}
		_, err := s.Record(ctx, photo(fmt.Sprint(card)), swatches)
		require.NoError(b, err)
	}
	return s
}

// The owed figure: of 100,000 swatches, a page in less than 50 ms.
func BenchmarkListOf100k(b *testing.B) {
	ctx, s := context.Background(), hundredThousand(b)
	for _, page := range []struct {
		name   string
		filter Filter
	}{
		{"first page", Filter{Limit: 50}},
		{"late page", Filter{Limit: 50, After: 99_000}},
		{"common dye", Filter{Limit: 50, Dye: "Slate"}},
		{"common dye, late", Filter{Limit: 50, Dye: "Slate", After: 99_000}},
		{"rare dye", Filter{Limit: 50, Dye: "Rare"}},
		{"wax and state", Filter{Limit: 50, Wax: "Harrow Soy", State: wax.SetState, After: 50_000}},
		{"state without any", Filter{Limit: 50, State: wax.LiquidState}},
		{"wax, dye and state", Filter{Limit: 50, Wax: "Harrow Soy", State: wax.SetState, Dye: "Bracken"}},
		{"one", Filter{IDs: []int64{77_777}}},
		{"everything", Filter{}},
	} {
		b.Run(page.name, func(b *testing.B) {
			for b.Loop() {
				_, err := s.Swatches(ctx, page.filter)
				require.NoError(b, err)
			}
		})
	}
}
