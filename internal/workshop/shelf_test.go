package workshop

import (
	"context"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/store"
)

func TestShelfTellsWhatWasLearned(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	shelf, err := w.Shelf(ctx, store.Newest)
	require.NoError(t, err)
	require.Len(t, shelf.Waxes, 1)
	assert.NotEmpty(t, shelf.Waxes[0].Learned)
	require.Len(t, shelf.Dyes, 2)
	assert.Empty(t, shelf.Dyes[0].Ladder, "no drop is recorded")
	assert.Len(t, shelf.Moulds, 1)

	empty, err := openWorkshop(t).Shelf(ctx, store.Newest)
	require.NoError(t, err)
	assert.Equal(t, Shelf{}, empty)
}

// What a lesson tells of a dye: doses that can be measured out over the range tested, the
// more the darker.
func TestALessonTellsWhatDosesGive(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	base, err := w.wax(ctx, "")
	require.NoError(t, err)
	model, _, err := w.learned(ctx, base)
	require.NoError(t, err)
	l, err := lesson(base, model, nil)
	require.NoError(t, err)
	dyes, err := w.Store.Dyes.List(ctx)
	require.NoError(t, err)
	told, err := l.Doses(dyes[0])
	require.NoError(t, err)
	require.Greater(t, len(told), 2)
	for i, d := range told[1:] {
		assert.Less(t, d.L, told[i].L)
		assert.Greater(t, d.GPerKg, told[i].GPerKg)
	}
	word, _ := l.Standing("Nobody's")
	assert.Equal(t, NotYet, word)
}

// A model is made once of what is kept, and anew when something else is kept.
func TestTheModelKeptIsTheOneLearnedLast(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	base, err := w.wax(ctx, "")
	require.NoError(t, err)
	first, _, err := w.learned(ctx, base)
	require.NoError(t, err)
	again, _, err := w.learned(ctx, base)
	require.NoError(t, err)
	assert.Same(t, first, again)

	other := inventedModel(t)
	other.Converged = !other.Converged
	saved, err := json.Marshal(other)
	require.NoError(t, err)
	require.NoError(t, w.Store.SaveLearned(ctx, base.Name, saved, noon))
	now, _, err := w.learned(ctx, base)
	require.NoError(t, err)
	assert.NotSame(t, first, now)
	assert.NotEqual(t, first.Converged, now.Converged)
}

func TestLookFindsDropsWithoutAPlan(t *testing.T) {
	w := openWorkshop(t)
	card, err := shippedCard("overdyed.jpg")
	require.NoError(t, err)
	seen, err := w.Look(context.Background(), card.PhotoName, card.Photo, plan.Plan{State: "set", Card: plan.UsualCard}, Chart{})
	require.NoError(t, err)
	assert.Len(t, seen.Drops, 3, "as the card's plan names")
	assert.NotNil(t, seen.Overlay)
	cream := spectrum.Lab{L: 92, B: 6}
	onCream, err := w.Look(context.Background(), card.PhotoName, card.Photo, plan.Plan{State: "set", Card: cream}, Chart{})
	require.NoError(t, err)
	assert.Less(t, onCream.Drops[0].L, seen.Drops[0].L-1, "colours are relative to the card's own")
	_, err = w.Look(context.Background(), "a.jpg", []byte("no picture"), plan.Plan{State: "set", Card: plan.UsualCard}, Chart{})
	assert.ErrorContains(t, err, "photograph a.jpg")
}
