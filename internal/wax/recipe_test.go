package wax_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

func TestRecipeIsInOrderOfName(t *testing.T) {
	parts := []wax.Part{{Dye: "Slate", DoseGPerKg: 1}, {Dye: "Bracken", DoseGPerKg: 0.5}}
	r, err := wax.NewRecipe(parts...)
	require.NoError(t, err)
	assert.Equal(t, wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}, {Dye: "Slate", DoseGPerKg: 1}}, r)
	assert.Equal(t, "Bracken 0.5 g/kg + Slate 1 g/kg", r.String())
	assert.Equal(t, "Slate", parts[0].Dye, "what was passed in is left in its order")
}

func TestEmptyRecipeIsUndyed(t *testing.T) {
	r, err := wax.NewRecipe()
	require.NoError(t, err)
	assert.Equal(t, "undyed", r.String())
	assert.Empty(t, r)
	assert.Zero(t, r.Dose("Slate"))
}

func TestRecipeDose(t *testing.T) {
	r := recipe(t, wax.Part{Dye: "Slate", DoseGPerKg: 1})
	assert.Equal(t, 1.0, r.Dose("Slate"))
	assert.Zero(t, r.Dose("Bracken"))
}

func TestRecipeRefusals(t *testing.T) {
	for name, parts := range map[string][]wax.Part{
		"a dye twice":   {{Dye: "Slate", DoseGPerKg: 1}, {Dye: "Bracken", DoseGPerKg: 1}, {Dye: "Slate", DoseGPerKg: 2}},
		"no dose":       {{Dye: "Slate"}},
		"negative":      {{Dye: "Slate", DoseGPerKg: -0.1}},
		"not a number":  {{Dye: "Slate", DoseGPerKg: math.NaN()}},
		"infinite":      {{Dye: "Slate", DoseGPerKg: math.Inf(1)}},
		"more than wax": {{Dye: "Slate", DoseGPerKg: wax.MaxDoseGPerKg + 1}},
	} {
		_, err := wax.NewRecipe(parts...)
		assert.ErrorContains(t, err, "Slate", name)
	}
	_, err := wax.NewRecipe(wax.Part{Dye: "Slate", DoseGPerKg: wax.MaxDoseGPerKg})
	assert.NoError(t, err)
}

// Common practice, no source: one part undyed to one part dyed halves every
// dose, and no dye is lost by it.
func TestOneToOneHalvesEveryDose(t *testing.T) {
	dyed := recipe(t, wax.Part{Dye: "Bracken", DoseGPerKg: 0.5}, wax.Part{Dye: "Slate", DoseGPerKg: 3})
	diluted := dyed.Scaled(0.5)
	assert.Equal(t, 0.25, diluted.Dose("Bracken"))
	assert.Equal(t, 1.5, diluted.Dose("Slate"))
	assert.Equal(t, 3.0, dyed.Dose("Slate"), "the recipe scaled from is left as it was")

	before, after := wax.Batch{UndyedG: 400, Recipe: dyed}, wax.Batch{UndyedG: 800, Recipe: diluted}
	assert.InDelta(t, before.DyeG(), after.DyeG(), 1e-12)
}

func recipe(t *testing.T, parts ...wax.Part) wax.Recipe {
	t.Helper()
	r, err := wax.NewRecipe(parts...)
	require.NoError(t, err)
	return r
}
