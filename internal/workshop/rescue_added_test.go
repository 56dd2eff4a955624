package workshop

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

func overfull() Trouble {
	return Trouble{
		UndyedG: 800, Dose: "Bracken 3 g/kg", Load: wax.Load{Percent: 8, Per: wax.PerWax}, LighterPercent: 60,
		Means: Means{ToleranceDE00: 1, PotG: 1000},
	}
}

// What was truly added is what the pot is then taken to hold: by mass, 800 g at 3 g/kg
// with 150 g more and one chip of 0.5 g in them is 2.9 g in 950 g.
func TestRescueGoesOnFromWhatWasAdded(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	ask := overfull()
	ask.PotG = 0
	_, c, err := w.Rescue(ctx, ask)
	require.NoError(t, err)
	require.NotNil(t, c.Next)
	told := *c.Next

	truly, err := w.added(ctx, c.Next, []string{"UNDYED 0.15 kg", "bracken 1 chip"})
	require.NoError(t, err)
	c.Events = []Event{{Added: truly}}
	now, err := c.replay(inventedModel(t))
	require.NoError(t, err)
	assert.InDelta(t, 950, now.UndyedG, 1e-9)
	assert.InDelta(t, 2900.0/950, now.Recipe.Dose("Bracken"), 1e-9)
	assert.Equal(t, told, *c.Next, "what was told stays as it was")

	c.Events = nil
	f, err := w.Predict(ctx, "", "Bracken 2.4 g/kg")
	require.NoError(t, err)
	r, went, err := w.ContinueRescue(ctx, c, []string{"undyed 200 g"}, f.Piece.Lab.Hex(), "")
	require.NoError(t, err)
	assert.InDelta(t, 1000, r.Batch.UndyedG, 1e-9)
	assert.Equal(t, 200.0, went.Events[0].Added.UndyedG)
	assert.InDelta(t, 2000, r.After.UndyedG, 2000*0.02, "60 % of 2.4 g in all are to be 1.2 g/kg")
	again, same, err := w.ContinueRescue(ctx, went, nil, f.Piece.Lab.Hex(), "")
	require.NoError(t, err)
	assert.Equal(t, went, same, "the same drop takes no step as done twice")
	assert.InDelta(t, r.After.UndyedG, again.After.UndyedG, 1e-9)
	_, _, err = w.ContinueRescue(ctx, went, []string{"undyed 200 g"}, f.Piece.Lab.Hex(), "")
	assert.ErrorContains(t, err, "followed already")

	// All of the 400 g would have made it paler than that.
	_, _, err = w.ContinueRescue(ctx, c, nil, f.Piece.Lab.Hex(), "")
	var excluded *Excluded
	require.ErrorAs(t, err, &excluded)
	r, _, err = w.ContinueRescue(ctx, c, nil, f.Piece.Lab.Hex(), BelieveDrop)
	require.NoError(t, err)
	assert.InDelta(t, 800+told.UndyedG, r.Batch.UndyedG, 1e-9, "as told")
}

func TestWhatWasAddedIsReadOrRefused(t *testing.T) {
	shelf := []wax.Dye{{Name: "Foxglove 7", Form: wax.Powder}, {Name: "Bracken", Form: wax.Chip, UnitMassG: 0.5}}
	for text, want := range map[string]float64{
		"undyed 1/2 kg": 500, "foxglove 7 1.2 g": 1.2, "Bracken 2 1/2 chips": 1.25, "Bracken 0.3 g": 0.3, "Bracken 0 chips": 0,
	} {
		_, g, err := addedOf(text, shelf)
		require.NoError(t, err, text)
		assert.InDelta(t, want, g, 1e-12, text)
	}
	for text, says := range map[string]string{
		"undyed":             "neither undyed wax nor a dye",
		"Gorse 2 g":          "neither undyed wax nor a dye",
		"undyed 20 ml":       "where a mass is wanted",
		"Foxglove 7 2 chips": "Foxglove 7: ",
		"Bracken -1 g":       "negative",
	} {
		_, _, err := addedOf(text, shelf)
		assert.ErrorContains(t, err, says, text)
	}
	w := benchOf(t)
	_, err := w.added(context.Background(), nil, []string{"Bracken 1 g", "bracken 2 g"})
	assert.ErrorContains(t, err, "named before")
}

// What is set aside is kept to the gram, and match makes use of it.
func TestKeepAsideGivesMatchItsStock(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	r, err := w.BeginRescue(ctx, overfull(), true)
	require.NoError(t, err)
	require.NotNil(t, r.SetAside)
	kept, err := w.Store.Stock(ctx, r.SetAside.Number)
	require.NoError(t, err)
	assert.Equal(t, "Harrow Soy", kept.Wax)
	assert.Equal(t, r.Batch.Recipe, kept.Recipe)
	assert.Equal(t, r.Batch.Load, kept.Load)
	assert.InDelta(t, r.Batch.TotalG(), kept.TotalG()+r.Start.TotalG(), 1e-9)

	f, err := w.Predict(ctx, "", "Bracken 1.5 g/kg")
	require.NoError(t, err)
	m, err := w.Match(ctx, Wish{Colour: f.Piece.Lab.Hex(), UndyedG: 500, MaxDyes: 1, Answers: 1, ToleranceDE00: 1, Load: r.Batch.Load})
	require.NoError(t, err)
	require.NotNil(t, m.Answers[0].Stock)
	assert.Equal(t, r.SetAside.Number, m.Answers[0].Stock.Stock.Number)

	none, err := w.BeginRescue(ctx, Trouble{UndyedG: 800, Dose: "Bracken 3 g/kg", Load: wax.Load{Per: wax.PerWax}, LighterPercent: 50, Means: Means{ToleranceDE00: 1}}, true)
	require.NoError(t, err)
	assert.Nil(t, none.SetAside)
	assert.Contains(t, none.Notes, "nothing is set aside, so no stock was kept")
}
