package recipe

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// pouredOut follows a blend with scales only: whatever goes into the pot must
// come out in the layers, each with its own doses and load, and nothing be left.
func pouredOut(t *testing.T, pours []Pour, load wax.Load, steps []BlendStep) {
	require.Len(t, steps, len(pours))
	undyed, fragrance := 0.0, 0.0
	dyes := map[string]float64{}
	for i, s := range steps {
		require.GreaterOrEqual(t, s.AddUndyedG, -1e-9, "wax cannot be taken out")
		require.GreaterOrEqual(t, s.AddFragranceG, -1e-9)
		undyed += s.AddUndyedG
		fragrance += s.AddFragranceG
		total := undyed + fragrance
		for _, d := range s.AddDyes {
			require.Positive(t, d.G)
			dyes[d.Dye] += d.G
		}
		for _, g := range dyes {
			total += g
		}
		for dye, g := range dyes {
			assert.InDelta(t, pours[i].Recipe.Dose(dye), g/undyed*1000, 1e-9, "layer %d", i+1)
		}
		assert.InDelta(t, load.FragranceG(undyed), fragrance, 1e-9)
		assert.InDelta(t, total, s.Pot.TotalG(), 1e-9)
		left := 1 - pours[i].TotalG/total
		undyed *= left
		fragrance *= left
		for dye := range dyes {
			dyes[dye] *= left
			if dyes[dye] < 1e-9 {
				delete(dyes, dye)
			}
		}
	}
	assert.InDelta(t, 0, undyed, 1e-9, "nothing is left")
}

func TestBlendConservesWaxAndDye(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	for range 200 {
		load := wax.Load{Percent: 12 * random.Float64(), Per: []wax.Convention{wax.PerWax, wax.PerTotal}[random.IntN(2)]}
		var pours []Pour
		for range 1 + random.IntN(5) {
			pours = append(pours, Pour{TotalG: 20 + 200*random.Float64(), Recipe: wax.Recipe{
				{Dye: "Bracken", DoseGPerKg: 0.1 + 3*random.Float64()}, {Dye: "Slate", DoseGPerKg: 0.1 + 3*random.Float64()},
			}})
		}
		steps, err := Blend(pours, load, 0)
		require.NoError(t, err)
		pouredOut(t, pours, load, steps)
	}
}

func TestBlendDarkToPaleAddsOnlyUndyedWax(t *testing.T) {
	bracken := func(dose float64) wax.Recipe { return wax.Recipe{{Dye: "Bracken", DoseGPerKg: dose}} }
	load := wax.Load{Per: wax.PerWax}
	// Doses halve, so one part undyed to one part dyed each time (common
	// practice, no source).
	pours := []Pour{{bracken(4), 100.4}, {bracken(2), 100.2}, {bracken(1), 100.1}}
	steps, err := Blend(pours, load, 0)
	require.NoError(t, err)
	pouredOut(t, pours, load, steps)
	assert.InDelta(t, 100+75, steps[0].Pot.UndyedG, 1e-9)
	assert.InDelta(t, 75, steps[1].AddUndyedG, 1e-9)
	assert.InDelta(t, 50, steps[2].AddUndyedG, 1e-9)
	assert.Empty(t, steps[1].AddDyes)
	assert.Empty(t, steps[2].AddDyes)

	// Pale to dark needs dye alone, and a pot for all of it.
	back := []Pour{pours[2], pours[1], pours[0]}
	steps, err = Blend(back, load, 0)
	require.NoError(t, err)
	pouredOut(t, back, load, steps)
	assert.InDelta(t, 300, steps[0].Pot.UndyedG, 1e-9)
	assert.InDelta(t, 0, steps[1].AddUndyedG, 1e-9)
	assert.InDelta(t, 0.2, steps[1].AddDyes[0].G, 1e-9, "200 g from 1 to 2 g/kg")

	_, err = Blend(back, load, 200)
	assert.ErrorContains(t, err, "before layer 1 the pot must hold 300.3 g, more than its 200.0 g; pour in the opposite order")
	_, err = Blend(back, load, 120)
	assert.ErrorContains(t, err, "melt some layers apart")
	_, err = Blend(pours, load, 200)
	assert.NoError(t, err, "dark to pale needs a smaller pot")
}

func TestBlendStartsAnewWhereADyeIsInTheWay(t *testing.T) {
	pours := []Pour{{wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}}, 50}, {wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}}, 50}, {nil, 50}}
	load := wax.Load{Percent: 8, Per: wax.PerWax}
	steps, err := Blend(pours, load, 0)
	require.NoError(t, err)
	pouredOut(t, pours, load, steps)
	for _, s := range steps {
		assert.Zero(t, s.Left.UndyedG)
		assert.InDelta(t, 50, s.Pot.TotalG(), 1e-9)
	}
}

func TestBlendRefuses(t *testing.T) {
	load := wax.Load{Per: wax.PerWax}
	_, err := Blend(nil, load, 0)
	assert.ErrorIs(t, err, ErrNothingToPour)
	for name, p := range map[string]Pour{
		"no mass":       {nil, 0},
		"NaN mass":      {nil, math.NaN()},
		"negative dose": {wax.Recipe{{Dye: "Slate", DoseGPerKg: -1}}, 50},
	} {
		_, err := Blend([]Pour{p}, load, 0)
		assert.Error(t, err, name)
	}
	_, err = Blend([]Pour{{nil, 50}}, wax.Load{}, 0)
	assert.Error(t, err)
	_, err = Blend([]Pour{{nil, 50}}, load, math.NaN())
	assert.Error(t, err)
}
