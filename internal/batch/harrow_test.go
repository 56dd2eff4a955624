package batch_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/batch"
	"setshade/internal/wax"
)

// The workshop of these tests is Harrow Lane Wax; it, its dyes and every figure
// of theirs are invented.

func harrowSoy() wax.Wax {
	return wax.Wax{
		Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9,
		MaxLoad: wax.Load{Percent: 15, Per: wax.PerWax}, PricePerKg: 8,
		Bench: wax.Bench{HeatToC: 95, AddFragranceAtC: 60, PourAtC: 55, StirMinutes: 2.5, SetHours: 3, CureHours: 48},
	}
}

func shelf() []wax.Dye {
	return []wax.Dye{
		{Name: "Bracken", Form: wax.Chip, UnitMassG: 1.2, PricePerG: 0.3},
		{Name: "Sorrel", Form: wax.Chip},
		{Name: "Slate", Form: wax.Liquid, UnitMassG: 0.03, MaxDoseGPerKg: 2, PricePerG: 0.5},
		{Name: "Mallow", Form: wax.Powder, MaxDoseGPerKg: 1},
		{Name: "Chalk Hill", Form: wax.Pigment, PricePerG: 0.1},
		{Name: "Frost", Form: wax.Mica},
	}
}

// hearts are four moulds of six cavities of 50 ml.
func hearts(t testing.TB) batch.Fill {
	t.Helper()
	f, err := batch.Moulds(wax.Mould{Name: "Heart", Cavities: 6, CavityML: 50}, 4)
	require.NoError(t, err)
	return f
}

func one(dye string, dose float64) []batch.Colour {
	return []batch.Colour{{Recipe: wax.Recipe{{Dye: dye, DoseGPerKg: dose}}}}
}

func planned(t testing.TB, r batch.Request) batch.Sheet {
	t.Helper()
	s, err := batch.Plan(r)
	require.NoError(t, err)
	return s
}

func request(t testing.TB) batch.Request {
	return batch.Request{
		Wax: harrowSoy(), Shelf: shelf(), Fill: hearts(t), LossPercent: 5,
		Load:      wax.Load{Percent: 10, Per: wax.PerWax},
		Fragrance: batch.Fragrance{DensityGPerML: 1, FlashPointC: 75, PricePerG: 0.05},
		Colours:   one("Bracken", 2),
	}
}
