package wax_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/wax"
)

// 500 g of wax at 2 + 4 g/kg is 1 + 2 g of dye; 8 % of 500 g is 40 g.
func TestBatchTotals(t *testing.T) {
	b := wax.Batch{
		UndyedG: 500,
		Recipe:  recipe(t, wax.Part{Dye: "Bracken", DoseGPerKg: 2}, wax.Part{Dye: "Slate", DoseGPerKg: 4}),
		Load:    wax.Load{Percent: 8, Per: wax.PerWax},
	}
	assert.NoError(t, b.Validate())
	assert.InDelta(t, 3, b.DyeG(), 1e-12)
	assert.InDelta(t, 40, b.FragranceG(), 1e-12, "dye is not counted as wax")
	assert.InDelta(t, 543, b.TotalG(), 1e-12)

	b.Load.Per = wax.PerTotal // 500 × 0.08 / 0.92 = 43.478
	assert.InDelta(t, 546.478, b.TotalG(), 1e-3)
}

// 3 % of 500 g of wax is 15 g.
func TestAdditivesCountInTheTotal(t *testing.T) {
	b := wax.Batch{UndyedG: 500, Load: wax.Load{Percent: 8, Per: wax.PerWax}, Additives: []wax.Additive{{Name: "Hardener", Percent: 3}}}
	assert.NoError(t, b.Validate())
	assert.InDelta(t, 15, b.AdditivesG(), 1e-12)
	assert.InDelta(t, 555, b.TotalG(), 1e-12)
	for name, bad := range map[string][]wax.Additive{
		"no name":      {{Percent: 3}},
		"nothing":      {{Name: "Hardener"}},
		"too much":     {{Name: "Hardener", Percent: 51}},
		"not a number": {{Name: "Hardener", Percent: math.NaN()}},
		"twice":        {{Name: "Hardener", Percent: 1}, {Name: "hardener", Percent: 1}},
	} {
		b.Additives = bad
		assert.Error(t, b.Validate(), name)
	}
}

func TestUndyedBatchWithoutFragranceIsItsWax(t *testing.T) {
	b := wax.Batch{UndyedG: 250, Load: wax.Load{Per: wax.PerWax}}
	assert.NoError(t, b.Validate())
	assert.Equal(t, 250.0, b.TotalG())
}

func TestBatchValidation(t *testing.T) {
	load := wax.Load{Percent: 8, Per: wax.PerWax}
	for name, bad := range map[string]wax.Batch{
		"no wax":       {Load: load},
		"negative":     {UndyedG: -5, Load: load},
		"not a number": {UndyedG: math.NaN(), Load: load},
		"infinite":     {UndyedG: math.Inf(1), Load: load},
		"bad load":     {UndyedG: 500, Load: wax.Load{Percent: 90, Per: wax.PerWax}},
		"load of what": {UndyedG: 500, Load: wax.Load{Percent: 8}},
	} {
		assert.Error(t, bad.Validate(), name)
	}
}
