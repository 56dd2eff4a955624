package workshop

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/scene"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// The lowest row of a printed card lies half over a black bar. Recorded, both halves
// teach how the wax hides: the shade of a thick piece of their dye is then surer than
// from the white halves alone. DESIGN owes dE00 0.8 in the median to a thick piece; the truth
// is radiative transfer (van de Hulst 1980; package scene/transport).
func TestDropsOverTheBarTeachHiding(t *testing.T) {
	b := newBench(t, scene.NewWax(scene.Soy), 7, 3)
	ctx := context.Background()
	card, _ := b.printed(daylight)
	_, err := b.Record(ctx, card)
	require.NoError(t, err)
	_, err = b.Learn(ctx, "", nil)
	require.NoError(t, err)
	both, _, err := b.learned(ctx, wax.Wax{Name: "Harrow Soy"})
	require.NoError(t, err)

	swatches, err := b.Store.Swatches(ctx, store.Filter{})
	require.NoError(t, err)
	over := 0
	for i := range swatches {
		if swatches[i].OverBlack != nil {
			over++
		}
		swatches[i].OverBlack = nil
	}
	assert.Equal(t, 4, over, "the lowest row lies over the bar")
	base, err := b.Store.Waxes.Get(ctx, "Harrow Soy")
	require.NoError(t, err)
	white, err := calibrate.Learn(base, calibrate.SamplesOf(base, swatches))
	require.NoError(t, err)

	var misses []float64
	for dye := range 3 {
		for _, dose := range []float64{0.2, 0.8} {
			recipe := b.one(dye, dose)
			truth := spectrum.D65.Lab(b.shelf.ThickReflectance(recipe))
			with, err := shade.Of(both, recipe, calibrate.View{Thick: true})
			require.NoError(t, err)
			without, err := shade.Of(white, recipe, calibrate.View{Thick: true})
			require.NoError(t, err)
			t.Logf("%s: with the bar %.2f within %.2f, without %.2f within %.2f", recipe,
				spectrum.DE00(with.Lab, truth), with.Within95, spectrum.DE00(without.Lab, truth), without.Within95)
			if dye == 2 { // the dye of the lowest row
				assert.Less(t, with.Within95, without.Within95, recipe.String())
			}
			misses = append(misses, spectrum.DE00(with.Lab, truth))
		}
	}
	slices.Sort(misses)
	assert.LessOrEqual(t, misses[len(misses)/2], 0.8)
}
