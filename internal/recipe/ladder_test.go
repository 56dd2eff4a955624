package recipe

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/calibrate/shelftest"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Dense sampling of the line is the independent check: fifty thousand recipes
// on it, walked by their own shades with the ladder's first step, must come to
// the same doses.
func TestLadderStepsAreEven(t *testing.T) {
	m, dyes := shelftest.Random(t, 4, 3)
	one := wax.Recipe{{Dye: dyes[0].Name, DoseGPerKg: 4}}
	two := wax.Recipe{{Dye: dyes[1].Name, DoseGPerKg: 2}, {Dye: dyes[2].Name, DoseGPerKg: 1}}
	for name, c := range map[string]struct {
		from, to wax.Recipe
		n        int
		view     calibrate.View
	}{
		"undyed to dark":    {nil, one, 6, thick},
		"dark to undyed":    {one, nil, 5, thick},
		"dye to other dyes": {one, two, 7, thick},
		"on card":           {nil, two, 4, calibrate.View{Card: shelftest.Card}},
		"only the ends":     {nil, two, 2, thick},
	} {
		got, err := Ladder(m, c.from, c.to, c.n, c.view)
		require.NoError(t, err, name)
		require.Len(t, got, c.n)
		for _, p := range c.from {
			assert.InDelta(t, p.DoseGPerKg, got[0].Recipe.Dose(p.Dye), 1e-9)
		}
		for _, p := range c.to {
			assert.InDelta(t, p.DoseGPerKg, got[c.n-1].Recipe.Dose(p.Dye), 1e-9)
		}
		step := spectrum.DE00(got[0].Lab, got[1].Lab)
		for i := 1; i < c.n; i++ {
			assert.InDelta(t, step, spectrum.DE00(got[i-1].Lab, got[i].Lab), 0.01, "%s, step %d", name, i)
		}
		if c.n == 2 {
			continue
		}
		const dense = 50000
		at, place := got[0].Lab, 1
		for i := 1; i <= dense && place < c.n-1; i++ {
			x := float64(i) / dense
			share := x * x
			if len(c.to) == 0 {
				share = 1 - (1-x)*(1-x)
			}
			recipe := mixedRecipe(c.from, c.to, share)
			lab, err := m.Lab(recipe, c.view)
			require.NoError(t, err)
			if spectrum.DE00(at, lab) >= step {
				for _, p := range recipe {
					assert.InDelta(t, p.DoseGPerKg, got[place].Recipe.Dose(p.Dye), 0.002+0.005*p.DoseGPerKg, "%s, tint %d", name, place)
				}
				at = lab
				place++
			}
		}
		assert.Equal(t, c.n-1, place, name)
	}
}

func mixedRecipe(from, to wax.Recipe, share float64) wax.Recipe {
	var out wax.Recipe
	for _, p := range from {
		if d := (1-share)*p.DoseGPerKg + share*to.Dose(p.Dye); d > 0 {
			out = append(out, wax.Part{Dye: p.Dye, DoseGPerKg: d})
		}
	}
	for _, p := range to {
		if from.Dose(p.Dye) == 0 {
			out = append(out, wax.Part{Dye: p.Dye, DoseGPerKg: share * p.DoseGPerKg})
		}
	}
	return out
}

func TestLadderRefuses(t *testing.T) {
	m, dyes := shelftest.Random(t, 4, 3)
	one := wax.Recipe{{Dye: dyes[0].Name, DoseGPerKg: 1}}
	_, err := Ladder(m, one, one, 4, thick)
	assert.ErrorIs(t, err, ErrSameShade)
	_, err = Ladder(m, nil, one, 1, thick)
	assert.Error(t, err)
	_, err = Ladder(m, nil, wax.Recipe{{Dye: "Sorrel", DoseGPerKg: 1}}, 4, thick)
	assert.ErrorIs(t, err, calibrate.ErrUnknownDye)
	_, err = Ladder(m, nil, wax.Recipe{{Dye: dyes[0].Name, DoseGPerKg: math.NaN()}}, 4, thick)
	assert.Error(t, err)
}
