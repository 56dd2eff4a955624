package workshop

import (
	"bytes"
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/scene"
	"setshade/internal/shade"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// liquid renders a card of liquid drops of the true doses with a plan that says
// other doses, of the same dye.
func (b *bench) liquid(dye int, trueDoses, planned []float64) Card {
	b.cards++
	recipes := []wax.Recipe{nil}
	text := "wax Harrow Soy\nstate liquid\n1 undyed\n"
	for i, dose := range trueDoses {
		recipes = append(recipes, b.one(dye, dose))
		text += fmt.Sprintf("%d %s %g g/kg\n", i+2, b.shelf.Dyes[dye].Name, planned[i])
	}
	picture := scene.Sheet{Shelf: b.shelf, Card: scene.WhiteCard(), State: wax.LiquidState, Rows: [][]wax.Recipe{recipes}}.
		Photograph(scene.Options{Seed: b.seed*100 + uint64(b.cards)})
	var file bytes.Buffer
	require.NoError(b.t, picture.WriteJPEG(&file, 90))
	card := picture.Card
	return Card{
		PhotoName: "pot.jpg", PlanName: "pot.plan", Photo: file.Bytes(),
		PlanText: text + fmt.Sprintf("card %.4f %.4f %.4f\n", card.L, card.A, card.B),
	}
}

// The pots are rendered by radiative transfer, which knows nothing of our films:
// one as planned, one with twice the dye, which its drop must tell.
func TestThePotTellsWhatItWillSetTo(t *testing.T) {
	b := potBench(t, 9)
	ctx := context.Background()
	before, err := b.Store.Swatches(ctx, store.Filter{})
	require.NoError(t, err)

	a, err := b.CheckPot(ctx, PotQuestion{
		Card: b.liquid(0, []float64{0.15, 0.3}, []float64{0.15, 0.15}), ToleranceDE00: SeenSideBySide,
	})
	require.NoError(t, err)
	require.Len(t, a.Drops, 2)
	asPlanned, strong := a.Drops[0], a.Drops[1]
	assert.Equal(t, shade.Keeps, asPlanned.Verdict)
	assert.False(t, asPlanned.AgainstPlan)
	assert.Equal(t, shade.Breaks, strong.Verdict)
	assert.True(t, strong.AgainstPlan, "a dose twice the planned one is not followed")
	assert.InEpsilon(t, 0.3, strong.Set.Recipe[0].DoseGPerKg, 0.15)
	require.NotNil(t, strong.Rescue)
	assert.Empty(t, strong.Missing, "too much dye is not mended by dye")
	// 0.3 g/kg diluted to 0.15 takes as much wax again: 1000 g for each kg.
	assert.InDelta(t, 1000, strong.Rescue.AddUndyedG, 250)

	// A colour that looks the same under every light is kept in daylight only.
	base, err := b.wax(ctx, "")
	require.NoError(t, err)
	model, _, err := b.learned(ctx, base)
	require.NoError(t, err)
	paint := vow{colour: &named{lab: asPlanned.Set.Lab, view: calibrate.View{Thick: true}}}
	shift := asPlanned.Set.Lights[1].ShiftDE00
	assert.NotEmpty(t, asPlanned.underLights(model, paint, 0.9*shift))
	assert.Empty(t, asPlanned.underLights(model, vow{}, SeenSideBySide), "the wax promised shifts as the wax in the pot")

	after, err := b.Store.Swatches(ctx, store.Filter{})
	require.NoError(t, err)
	assert.Equal(t, before, after, "a check records nothing")
}

// potBench has learned two dyes from set and liquid drops.
func potBench(t *testing.T, seed uint64) *bench {
	b := newBench(t, scene.NewWax(scene.Soy), seed, 2)
	for dye := range 2 {
		b.record(false, nil, b.one(dye, 0.05), b.one(dye, 0.2), b.one(dye, 0.6), b.one(dye, 2))
		doses := []float64{0.03, 0.1, 0.3}
		_, err := b.Record(context.Background(), b.liquid(dye, doses, doses))
		require.NoError(t, err)
	}
	_, err := b.Learn(context.Background(), "", nil)
	require.NoError(t, err)
	return b
}
