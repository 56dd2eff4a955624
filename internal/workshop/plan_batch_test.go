package workshop

import (
	"context"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/batch"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// benchOf is a workshop with a wax, a mould and two invented dyes, of which only
// Bracken has been learned.
func benchOf(t testing.TB) *Workshop {
	t.Helper()
	w, ctx := openWorkshop(t), context.Background()
	require.NoError(t, w.Store.Waxes.Add(ctx, wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9}))
	require.NoError(t, w.Store.Dyes.Add(ctx, wax.Dye{Name: "Bracken", Form: wax.Chip, UnitMassG: 0.5}))
	require.NoError(t, w.Store.Dyes.Add(ctx, wax.Dye{Name: "Slate", Form: wax.Powder}))
	require.NoError(t, w.Store.Moulds.Add(ctx, wax.Mould{Name: "Heart", Cavities: 6, CavityML: 50}))
	saved, err := json.Marshal(inventedModel(t))
	require.NoError(t, err)
	require.NoError(t, w.Store.SaveLearned(ctx, "Harrow Soy", saved, noon))
	return w
}

// The dye of 300 g of wax at 2 g/kg is 0.6 g, and the nearest quarter chips are
// 0.625 g: the shades told are those that Predict tells of 2 and of 2.083 g/kg.
func TestRoundingIsToldAsTheShadesPredicted(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	p, err := w.PlanBatch(ctx, Order{Scoops: 5, ScoopG: 60, Colours: []string{"bracken 4 chips/kg"}})
	require.NoError(t, err)
	require.Len(t, p.Shades, 1)
	assert.InDelta(t, 0.625/0.3, p.Sheet.Pots[0].Recipe.Dose("Bracken"), 1e-9)
	assert.Equal(t, "scoop", p.Portion)
	assert.Equal(t, noon, p.PlannedAt)

	asked, err := w.Predict(ctx, "", "Bracken 2 g/kg")
	require.NoError(t, err)
	reached, err := w.Predict(ctx, "", "Bracken 2.0833333333333333 g/kg")
	require.NoError(t, err)
	assert.Equal(t, asked.Piece.Lab, p.Shades[0].Asked.Lab)
	assert.Less(t, spectrum.DE00(reached.Piece.Lab, p.Shades[0].Reached.Lab), 1e-9)
	assert.Less(t, spectrum.DE00(reached.Drop.Lab, p.Shades[0].Drop.Lab), 1e-9)
	assert.InDelta(t, spectrum.DE00(asked.Piece.Lab, reached.Piece.Lab), p.Shades[0].RoundingDE00, 1e-9)
	assert.Greater(t, p.Shades[0].RoundingDE00, 0.1)
}

func TestABatchIsPlannedWithoutShadesOfWhatWasNotLearned(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	p, err := w.PlanBatch(ctx, Order{Mould: "heart", Times: 1, Colours: []string{"Bracken 2 g/kg x 2", "Slate 1 g/kg"}})
	require.NoError(t, err)
	assert.True(t, p.Shades[0].Known)
	assert.Equal(t, PotShade{}, p.Shades[1])
	assert.Contains(t, p.Notes, "no shade is told of Slate 1 g/kg: it has a dye that was not learned in Harrow Soy")

	require.NoError(t, w.Store.Waxes.Add(ctx, wax.Wax{Name: "Harrow Pillar", RefractiveIndex: 1.44, DensityGPerML: 0.9}))
	p, err = w.PlanBatch(ctx, Order{Wax: "Harrow Pillar", Pieces: 3, PieceG: 40, Colours: []string{"Bracken 2 g/kg"}})
	require.NoError(t, err)
	assert.Equal(t, []PotShade{{}}, p.Shades)
	assert.Equal(t, []string{"no shades are told: Harrow Pillar has not been learned yet"}, p.Notes)
}

func TestOneThingIsFilled(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	for _, o := range []Order{{}, {Mould: "Heart", Times: 1, Pieces: 3, PieceG: 40}, {Pieces: 3, PieceG: 40, Scoops: 2, ScoopG: 50}} {
		o.Colours = []string{"undyed"}
		_, err := w.PlanBatch(ctx, o)
		assert.ErrorContains(t, err, "one of the three")
	}
	_, err := w.PlanBatch(ctx, Order{Mould: "Star", Times: 1, Colours: []string{"undyed"}})
	assert.ErrorContains(t, err, `there is no mould called "Star"; the store has Heart`)
}

func TestColoursAreReadAsWritten(t *testing.T) {
	shelf := []wax.Dye{{Name: "Bracken", Form: wax.Chip, UnitMassG: 0.5}, {Name: "Mark x", Form: wax.Powder}}
	bracken := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}}
	for text, want := range map[string]batch.Colour{
		"Bracken 2 g/kg": {Recipe: bracken},
		" Dawn  light =  bracken 4 chips/kg x 16 ": {Name: "Dawn light", Recipe: bracken, Portions: 16},
		"Dawn=Bracken 2g/kg X2,5":                  {Name: "Dawn", Recipe: bracken, Portions: 2.5},
		"undyed × 3":                               {Portions: 3},
		"Mark x 2 g/kg":                            {Recipe: wax.Recipe{{Dye: "Mark x", DoseGPerKg: 2}}},
	} {
		got, _, err := coloursOf([]string{text}, shelf)
		require.NoError(t, err, text)
		assert.Equal(t, []batch.Colour{want}, got, text)
	}
	got, _, err := coloursOf([]string{"undyed x 1", "Bracken 4 chips/kg"}, shelf)
	require.NoError(t, err)
	assert.Equal(t, "undyed", got[0].Name)
	assert.Equal(t, "Bracken 4 chips/kg", got[1].Name, "several colours need names")

	for text, says := range map[string]string{
		"":                         "no dose is given",
		"= Bracken 2 g/kg":         `no name before the "="`,
		"Bracken 2 g/kg x 0":       "0 portions cannot be",
		"Bracken 2 g/kg x 1,500":   "can be read two ways",
		"Bracken 2 g/kg x sixteen": `"sixteen" is not a unit for a dose`,
		"Dusk = Braken 2 g/kg":     `did you mean "Bracken"?`,
	} {
		_, _, err := coloursOf([]string{text}, shelf)
		assert.ErrorContains(t, err, says, text)
	}
}
