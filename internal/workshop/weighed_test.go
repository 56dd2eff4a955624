package workshop

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// What was weighed of one thing leaves the grams of all others as they were (conservation
// of mass).
func TestWithAmountConservesTheRest(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	grams := func(b wax.Batch, dye string) float64 { return b.Recipe.Dose(dye) * b.UndyedG / 1000 }
	for range 500 {
		before := wax.Batch{UndyedG: 10 + 2000*random.Float64(), Load: wax.Load{Percent: 8, Per: wax.PerWax}, Recipe: wax.Recipe{
			{Dye: "Bracken", DoseGPerKg: 0.01 + 3*random.Float64()}, {Dye: "Slate", DoseGPerKg: 0.01 + 3*random.Float64()},
		}}
		g := 5 * random.Float64()
		after, err := withAmount(before, "Slate", g)
		require.NoError(t, err)
		assert.InDelta(t, g, grams(after, "Slate"), 1e-9)
		assert.InDelta(t, grams(before, "Bracken"), grams(after, "Bracken"), 1e-9)
		assert.Equal(t, before.UndyedG, after.UndyedG)

		undyedG := 10 + 2000*random.Float64()
		after, err = withAmount(before, "", undyedG)
		require.NoError(t, err)
		assert.Equal(t, undyedG, after.UndyedG)
		for _, dye := range []string{"Bracken", "Slate"} {
			assert.InDelta(t, grams(before, dye), grams(after, dye), 1e-9)
		}
	}
	none, err := withAmount(wax.Batch{UndyedG: 100, Load: wax.Load{Per: wax.PerWax}, Recipe: wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}}}, "Slate", 0)
	require.NoError(t, err)
	assert.Empty(t, none.Recipe)
}
