package workshop

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// drop records an invented drop of a colour and returns its number.
func drop(t testing.TB, w *Workshop, name string, state wax.State, lab spectrum.Lab, recipe wax.Recipe) int64 {
	t.Helper()
	recorded, err := w.Store.Record(context.Background(), store.Photo{
		Name: name, Bytes: []byte(name), PlanText: "1: undyed", Reader: 1, RecordedAt: noon,
	}, []wax.Swatch{{
		Wax: "Harrow Soy", State: state, Recipe: recipe, Drop: 1, Card: plan.UsualCard,
		Colour: spectrum.Measured{Lab: lab, Cov: [3][3]float64{{0.01}, {0, 0.01}, {0, 0, 0.01}}},
	}})
	require.NoError(t, err)
	return recorded[0].ID
}

// A batch is kept as it was measured out, and what came of it stands beside what
// was promised on the day.
func TestPromiseAndOutcomeStandBesideEachOther(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	order := Order{Scoops: 5, ScoopG: 60, Colours: []string{"Dawn = Bracken 2 g/kg x 3", "Plain = undyed"}}
	planned, err := w.PlanBatch(ctx, order)
	require.NoError(t, err)
	logged, err := w.LogBatch(ctx, PouredOrder{Order: order, Remarks: Remarks{
		Notes: []string{" poured a little cool ", " "}, Lots: []string{"fragrance = F-220"},
	}})
	require.NoError(t, err)
	assert.Equal(t, noon, logged.PouredAt)
	assert.Equal(t, []string{"poured a little cool"}, logged.Notes)
	assert.Equal(t, []store.Lot{{Of: "fragrance", Lot: "F-220"}}, logged.Lots)
	assert.Equal(t, []*Outcome{nil, nil}, logged.Outcomes)
	for i, pot := range planned.Sheet.Pots {
		assert.Equal(t, pot.Batch, logged.Colours[i].Batch)
		assert.Equal(t, planned.Shades[i].Drop.Lab, logged.Colours[i].Promise.Drop.Lab)
		assert.Equal(t, planned.Shades[i].Reached.Within95, logged.Colours[i].Promise.Piece.Within95)
	}

	promised := logged.Colours[0].Promise.Drop.Lab
	came := spectrum.Lab{L: promised.L - 2, A: promised.A + 1, B: promised.B}
	bracken := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}}
	id := drop(t, w, "dawn.jpg", wax.SetState, came, bracken)
	logged, err = w.ChangeBatch(ctx, logged.ID, Remarks{SwatchID: id, Colour: "dawn", Lots: []string{"Fragrance=F-221"}})
	require.NoError(t, err)
	require.NotNil(t, logged.Outcomes[0])
	assert.InDelta(t, spectrum.DE00(promised, came), *logged.Outcomes[0].MissDE00, 1e-12)
	assert.Nil(t, logged.Outcomes[1])
	assert.Equal(t, []store.Lot{{Of: "Fragrance", Lot: "F-221"}}, logged.Lots)

	all, err := w.Batches(ctx)
	require.NoError(t, err)
	assert.Equal(t, []Logged{logged}, all)

	for says, r := range map[string]Remarks{
		"has several colours (Dawn, Plain)":   {SwatchID: id},
		`has no colour "Dusk"; it has Dawn`:   {SwatchID: id, Colour: "Dusk"},
		"is of Bracken 2 g/kg, and the batch": {SwatchID: id, Colour: "Plain"},
		"is a liquid drop":                    {SwatchID: drop(t, w, "liquid.jpg", wax.LiquidState, came, bracken), Colour: "Dawn"},
		"there is no swatch 99":               {SwatchID: 99, Colour: "Dawn"},
		"is not a lot":                        {Lots: []string{"HL-B14"}},
	} {
		_, err := w.ChangeBatch(ctx, logged.ID, r)
		assert.ErrorContains(t, err, says)
	}
}

func TestABatchWithoutALessonPromisesNothing(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	logged, err := w.LogBatch(ctx, PouredOrder{Order: Order{Pieces: 3, PieceG: 40, Colours: []string{"Slate 1 g/kg"}}})
	require.NoError(t, err)
	assert.Nil(t, logged.Colours[0].Promise)
	assert.NotEmpty(t, logged.Said)
	id := drop(t, w, "slate.jpg", wax.SetState, spectrum.Lab{L: 50}, wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}})
	logged, err = w.ChangeBatch(ctx, logged.ID, Remarks{SwatchID: id})
	require.NoError(t, err)
	require.NotNil(t, logged.Outcomes[0])
	assert.Nil(t, logged.Outcomes[0].MissDE00)
}

func TestABatchIsNotPouredTomorrow(t *testing.T) {
	w := benchOf(t)
	_, err := w.LogBatch(context.Background(), PouredOrder{
		Order: Order{Pieces: 3, PieceG: 40, Colours: []string{"undyed"}}, PouredAt: noon.Add(time.Hour),
	})
	assert.ErrorContains(t, err, "poured in the future")
}
