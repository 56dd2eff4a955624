package store

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// aside is an invented stock; every number in it differs.
func aside() wax.Stock {
	return wax.Stock{
		Wax: "Harrow Soy", Note: "jar – left shelf", SetAsideAt: noon,
		Batch: wax.Batch{
			UndyedG: 703.9 / 3, Load: wax.Load{Percent: 8.25, Per: wax.PerTotal},
			Recipe:    wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2. / 3}, {Dye: "Slate", DoseGPerKg: 0.1 + 0.2}},
			Additives: []wax.Additive{{Name: "Stearin", Percent: 1. / 7}, {Name: "Härter", Percent: 2}},
		},
	}
}

func TestAStockComesBackAsItWasSetAside(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	none, err := s.Stocks(ctx)
	require.NoError(t, err)
	assert.Empty(t, none)

	want := aside()
	got, err := s.KeepStock(ctx, want)
	require.NoError(t, err)
	want.Number = 1
	assert.Equal(t, want, got, "to the last bit")

	plain := wax.Stock{Wax: "harrow soy", SetAsideAt: noon, Batch: wax.Batch{UndyedG: 60, Load: wax.Load{Per: wax.PerWax}}}
	second, err := s.KeepStock(ctx, plain)
	require.NoError(t, err)
	plain.Number, plain.Wax = 2, "Harrow Soy"
	assert.Equal(t, plain, second)

	all, err := s.Stocks(ctx)
	require.NoError(t, err)
	assert.Equal(t, []wax.Stock{want, plain}, all)
}

func TestAStockIsChangedOrNotAtAll(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	was, err := s.KeepStock(ctx, aside())
	require.NoError(t, err)
	changed, err := s.ChangeStock(ctx, 1, func(stock *wax.Stock) error {
		stock.UndyedG, stock.Note = 12.5, "moved"
		stock.Recipe, stock.Additives = stock.Recipe[:1], nil
		return nil
	})
	require.NoError(t, err)
	was.UndyedG, was.Note, was.Recipe, was.Additives = 12.5, "moved", was.Recipe[:1], nil
	assert.Equal(t, was, changed)

	_, err = s.ChangeStock(ctx, 1, func(stock *wax.Stock) error {
		stock.Recipe = wax.Recipe{{Dye: "Sorrel", DoseGPerKg: 1}}
		return nil
	})
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = s.ChangeStock(ctx, 1, func(stock *wax.Stock) error { stock.UndyedG = -1; return nil })
	assert.ErrorIs(t, err, ErrInvalid)
	_, err = s.ChangeStock(ctx, 9, func(*wax.Stock) error { return nil })
	assert.ErrorIs(t, err, ErrNotFound)
	still, err := s.Stock(ctx, 1)
	require.NoError(t, err)
	assert.Equal(t, was, still)
}

func TestTheNumberOfAStockIsNotGivenAgain(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	_, err := s.KeepStock(ctx, aside())
	require.NoError(t, err)
	for _, remove := range []func() error{
		func() error { return s.Dyes.Remove(ctx, "Bracken") },
		func() error { return s.Waxes.Remove(ctx, "Harrow Soy") },
	} {
		assert.ErrorIs(t, remove(), ErrInUse, "a stock is made of it")
	}
	require.NoError(t, s.RemoveStock(ctx, 1))
	assert.ErrorIs(t, s.RemoveStock(ctx, 1), ErrNotFound)
	for _, table := range []string{"stock_parts", "stock_additives"} {
		assert.Zero(t, count(t, s, table), "they go with their stock")
	}
	next, err := s.KeepStock(ctx, aside())
	require.NoError(t, err)
	assert.Equal(t, int64(2), next.Number)
}

func TestAStockThatCannotBeIsRefused(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	for name, spoil := range map[string]func(*wax.Stock){
		"no mass":      func(a *wax.Stock) { a.UndyedG = 0 },
		"load of what": func(a *wax.Stock) { a.Load.Per = "" },
		"a dye twice":  func(a *wax.Stock) { a.Recipe = append(a.Recipe, a.Recipe[0]) },
		"in two spellings": func(a *wax.Stock) {
			a.Recipe = append(a.Recipe, wax.Part{Dye: strings.ToUpper(a.Recipe[0].Dye), DoseGPerKg: 1})
		},
		"not UTF-8":      func(a *wax.Stock) { a.Note = "\xff" },
		"a long note":    func(a *wax.Stock) { a.Note = string(make([]byte, MaxNoteBytes+1)) },
		"additive of 0%": func(a *wax.Stock) { a.Additives[0].Percent = 0 },
	} {
		stock := aside()
		spoil(&stock)
		_, err := s.KeepStock(ctx, stock)
		assert.ErrorIs(t, err, ErrInvalid, name)
	}
	for _, spoil := range []func(*wax.Stock){
		func(a *wax.Stock) { a.Wax = "Sorrel Wax" },
		func(a *wax.Stock) { a.Recipe[0].Dye = "Sorrel" },
	} {
		stock := aside()
		spoil(&stock)
		_, err := s.KeepStock(ctx, stock)
		assert.ErrorIs(t, err, ErrNotFound)
	}
	assert.Zero(t, count(t, s, "stocks"), "nothing half-written")
}
