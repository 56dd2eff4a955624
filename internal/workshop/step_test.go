package workshop

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/rescue"
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
// ends; dyes stay in whole portions. Two thirds first is common practice, no
// source.
func TestStepsAddUp(t *testing.T) {
	model := inventedModel(t)
	dyes := []wax.Dye{{Name: "Bracken", Form: wax.Liquid, UnitMassG: 0.1}}
	batch := wax.Batch{
		UndyedG: 600, Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}}, Load: wax.Load{Percent: 8, Per: wax.PerTotal},
		Additives: []wax.Additive{{Name: "Hardener", Percent: 3}},
	}
	known, err := model.Planned(batch.Recipe, doseWeighed)
	require.NoError(t, err)
	now := pot{Batch: batch, known: known}
	var a rescue.Answer
	a.SetAside, a.Start, a.After = &wax.Stock{Batch: batch}, batch, batch
	a.SetAside.UndyedG, a.Start.UndyedG, a.AddUndyedG = 200, 400, 900
	a.AddDyes = []rescue.AddedDye{{Dye: "Bracken", G: 0.5, Portion: wax.Portion{Unit: "drop", PerUnit: 1, MassG: 0.1}, Portions: 5}}

	steps, err := stepsOf(model, now, a, dyes, cautiousShares)
	require.NoError(t, err)
	require.Len(t, steps, 2)
	assert.InDelta(t, 600, steps[0].UndyedG, 1e-9)
	assert.InDelta(t, 300, steps[1].UndyedG, 1e-9)
	assert.InDelta(t, 3, steps[0].Dyes[0].Count, 1e-9)
	assert.InDelta(t, 2, steps[1].Dyes[0].Count, 1e-9)
	assert.InDelta(t, 200, steps[0].TakenOutG, 1e-9)
	assert.Zero(t, steps[1].TakenOutG)
	last := steps[1].After
	assert.InDelta(t, 1300, last.UndyedG, 1e-9)
	assert.InDelta(t, last.FragranceG()-a.Start.FragranceG(), steps[0].AddFragranceG+steps[1].AddFragranceG, 1e-9)
	assert.InDelta(t, last.AdditivesG()-a.Start.AdditivesG(), steps[0].AddAdditives[0].G+steps[1].AddAdditives[0].G, 1e-9)
	assert.InDelta(t, a.Start.DyeG()+0.5, last.DyeG(), 1e-9, "dye is neither made nor lost")
	assert.Equal(t, batch.Load, last.Load)
	assert.Less(t, steps[0].Drop.Lab.L, steps[1].Drop.Lab.L, "more undyed wax is lighter")

	none, err := stepsOf(model, now, rescue.Answer{Start: batch, After: batch}, dyes, cautiousShares)
	require.NoError(t, err)
	assert.Empty(t, none)
}
