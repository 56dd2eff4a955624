package workshop

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plan"
	"setshade/internal/scene"
	"setshade/internal/store"
)

// The numbers printed on the card are those of the swatches, whichever way the plan
// tells which places hold drops, and they outlive reading the photograph again.
func TestSwatchesBearTheNumbersOfTheirPlaces(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, scene.NewWax(scene.Soy), 1, 3)
	card, _ := b.printed(daylight)
	byRows, err := b.Read(ctx, card)
	require.NoError(t, err)

	p, err := plan.Parse(card.PlanText)
	require.NoError(t, err)
	p.Rows = nil
	places := []int{1, 2, 3, 4, 7, 8, 9, 10, 13, 14, 15, 16}
	for i := range p.Drops {
		p.Drops[i].Number = places[i]
	}
	card.PlanText = plan.Format(p)
	byPlaces, err := b.Record(ctx, card)
	require.NoError(t, err)
	kept, err := b.Store.Swatches(ctx, store.Filter{})
	require.NoError(t, err)
	require.Len(t, kept, len(places))
	for i, s := range byPlaces.Swatches {
		assert.Equal(t, places[i], s.Drop)
		assert.Equal(t, byRows.Swatches[i].Drop, s.Drop)
		assert.Equal(t, byRows.Swatches[i].Recipe, s.Recipe)
		assert.Equal(t, byRows.Swatches[i].Colour.Lab, s.Colour.Lab)
		assert.Equal(t, s.Drop, kept[i].Drop)
		assert.Equal(t, s.Recipe, kept[i].Recipe)
	}
	again, err := b.Reread(ctx, true, nil)
	require.NoError(t, err)
	require.NoError(t, again.Photos[0].Refusal)
	require.Len(t, again.Photos[0].Drops, len(places))
	for i, d := range again.Photos[0].Drops {
		assert.Equal(t, places[i], d.Swatch.Drop)
		assert.Zero(t, d.DE00())
	}
}
