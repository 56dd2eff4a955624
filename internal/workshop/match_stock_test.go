package workshop

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

func stockOf(t *testing.T, w *Workshop, massG, doseGPerKg float64, load wax.Load) wax.Stock {
	t.Helper()
	s, _, err := w.AddStock(context.Background(), Aside{
		Dose: fmt.Sprintf("Bracken %g g/kg", doseGPerKg), MassG: massG, Load: load, Additives: []string{"Stearin 2%"},
	})
	require.NoError(t, err)
	return s
}

// Nothing is lost and nothing made: wax, dye, fragrance and additives of the
// stock taken and of what is added are those of the melt, and the stock taken and
// what is left of it are the stock.
func TestStockKeepsEveryMass(t *testing.T) {
	for _, load := range []wax.Load{{Percent: 8, Per: wax.PerWax}, {Percent: 8, Per: wax.PerTotal}} {
		w, ctx := benchOf(t), context.Background()
		stock := stockOf(t, w, 300, 3.5, wax.Load{Percent: 6, Per: wax.PerTotal})
		f, err := w.Predict(ctx, "", "Bracken 1.4 g/kg")
		require.NoError(t, err)
		lab := f.Piece.Lab
		wish := Wish{Colour: fmt.Sprintf("%.6f %.6f %.6f", lab.L, lab.A, lab.B), UndyedG: 900, MaxDyes: 2, Answers: 2, ToleranceDE00: 1, Load: load}
		m, err := w.Match(ctx, wish)
		require.NoError(t, err)
		best := m.Answers[0]
		require.NotNil(t, best.Stock, "stock comes first")
		assert.LessOrEqual(t, best.DE00, wish.ToleranceDE00)

		taken := best.Stock.Taken
		assert.InDelta(t, 900, taken.UndyedG+best.AddUndyedG, 1e-9, "wax")
		dye := taken.DyeG()
		for _, p := range best.Portions {
			dye += p.G
		}
		assert.InDelta(t, best.Batch.DyeG(), dye, 1e-9, "dye")
		assert.InDelta(t, load.FragranceG(900), taken.FragranceG()+best.AddFragranceG, 1e-9, "fragrance")
		assert.InDelta(t, best.Batch.AdditivesG(), taken.AdditivesG(), 1e-9, "additives")
		assert.InDelta(t, best.Batch.TotalG(), taken.TotalG()+best.AddUndyedG+best.AddFragranceG+dye-taken.DyeG(), 1e-9, "all of it")
		assert.Equal(t, best.Recipe, best.Batch.Recipe)

		used, left, err := w.UseStock(ctx, stock.Number, taken.TotalG())
		require.NoError(t, err)
		rest := 0.0
		if left != nil {
			rest = left.TotalG()
			assert.InDelta(t, stock.DyeG(), used.DyeG()+left.DyeG(), 1e-9)
			assert.InDelta(t, stock.FragranceG(), used.FragranceG()+left.FragranceG(), 1e-9)
		}
		assert.InDelta(t, 300, used.TotalG()+rest, 1e-9)

		wish.NoStock = true
		without, err := w.Match(ctx, wish)
		require.NoError(t, err)
		assert.Nil(t, without.Answers[0].Stock)
		assert.LessOrEqual(t, best.DE00, max(wish.ToleranceDE00, without.Answers[0].DE00+0.1), "never worse than without, within the tolerance")
	}
}

// Common practice, no source: one part undyed to one part dyed halves every
// dose. 250 g of undyed wax at 4 g/kg in a batch of 500 g is 2 g/kg.
func TestStockIsUsedUpWhereItHalves(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	stockOf(t, w, 250*(1+0.004+0.02), 4, wax.Load{Per: wax.PerWax})
	f, err := w.Predict(ctx, "", "Bracken 2 g/kg")
	require.NoError(t, err)
	lab := f.Piece.Lab
	m, err := w.Match(ctx, Wish{Colour: fmt.Sprintf("%.6f %.6f %.6f", lab.L, lab.A, lab.B), UndyedG: 500, MaxDyes: 1, Answers: 1})
	require.NoError(t, err)
	best := m.Answers[0]
	require.NotNil(t, best.Stock)
	assert.True(t, best.Stock.UsedUp)
	assert.InDelta(t, 250, best.AddUndyedG, 1e-9)
	assert.Empty(t, best.Portions)
	assert.Less(t, best.DE00, 1e-3)
	require.Len(t, best.Batch.Additives, 1)
	assert.InDelta(t, 1, best.Batch.Additives[0].Percent, 1e-9, "2 % in half of the wax")
}

func TestStockWithTooMuchFragranceIsLeftAlone(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	stockOf(t, w, 300, 3, wax.Load{Percent: 8, Per: wax.PerWax})
	m, err := w.Match(ctx, Wish{Colour: "70 15 20", UndyedG: 500, MaxDyes: 1, Answers: 1, ToleranceDE00: 50})
	require.NoError(t, err)
	for _, a := range m.Answers {
		assert.Nil(t, a.Stock)
	}
	assert.Contains(t, m.Notes, "stock 1 was not tried: its fragrance, 8 % of wax, is more than the batch is to have; tell the batch's load")
}

// Every share can be weighed: at most 40 even steps, and the whole.
func TestSharesOfAStock(t *testing.T) {
	for _, c := range []struct{ massG, undyedG float64 }{{300, 900}, {300, 100}, {37, 5000}, {1234.5, 1000}, {0.9, 20}} {
		s := wax.Stock{Batch: wax.Batch{UndyedG: c.massG, Load: wax.Load{Per: wax.PerWax}}}
		shares := sharesOf(s, c.undyedG)
		assert.LessOrEqual(t, len(shares), 41)
		assert.GreaterOrEqual(t, len(shares), 15)
		for _, share := range shares {
			assert.Greater(t, share, 0.0)
			assert.LessOrEqual(t, share, 1.0)
			assert.LessOrEqual(t, share*c.undyedG, c.massG*(1+1e-9), "no more than there is")
		}
	}
}
