package workshop

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// inventedModel has one dye, Bracken, of invented colours.
func inventedModel(t testing.TB) *calibrate.Model {
	t.Helper()
	var samples []calibrate.Sample
	for i, c := range []spectrum.Lab{{L: 94}, {L: 75, A: 10, B: 12}, {L: 56, A: 15, B: 16}} {
		s := calibrate.Sample{ID: int64(i + 1), Colour: spectrum.Measured{Lab: c}, Card: plan.UsualCard}
		if i > 0 {
			s.Recipe = wax.Recipe{{Dye: "Bracken", DoseGPerKg: float64(i * i)}}
		}
		samples = append(samples, s)
	}
	model, err := calibrate.Learn(wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9}, samples)
	require.NoError(t, err)
	return model
}

// The parts add up to the whole, keep dye and load, and end where the rescue
// ends. Two thirds first is common practice, no source.
func TestStepsAddUp(t *testing.T) {
	model := inventedModel(t)
	start := wax.Batch{UndyedG: 600, Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}}, Load: wax.Load{Percent: 8, Per: wax.PerTotal}}
	after := start
	after.UndyedG, after.Recipe = 1500, start.Recipe.Scaled(600./1500)

	steps, err := stepsOf(model, start, after)
	require.NoError(t, err)
	require.Len(t, steps, 2)
	assert.InDelta(t, 600, steps[0].AddUndyedG, 1e-9)
	assert.InDelta(t, 300, steps[1].AddUndyedG, 1e-9)
	assert.InDelta(t, after.FragranceG()-start.FragranceG(), steps[0].AddFragranceG+steps[1].AddFragranceG, 1e-9)
	assert.Equal(t, after, steps[1].After)
	for _, s := range steps {
		assert.InDelta(t, start.DyeG(), s.After.DyeG(), 1e-9, "dye is neither made nor lost")
		assert.Equal(t, start.Load, s.After.Load)
	}
	assert.Less(t, steps[0].Drop.Lab.L, steps[1].Drop.Lab.L, "more undyed wax is lighter")

	none, err := stepsOf(model, start, start)
	require.NoError(t, err)
	assert.Empty(t, none)
}
