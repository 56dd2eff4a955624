package calibrate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// oldAndNew are the samples of a ladder as a reader of before, and as an instrument of
// no error alike, gave them.
func oldAndNew(t *testing.T) (old, fresh []Sample) {
	_, _, samples := learnedShelf(t, 0.1, "Bracken", "Slate")
	var swatches []wax.Swatch
	for i, s := range samples {
		sw := wax.Swatch{ID: s.ID, Recipe: s.Recipe, Colour: s.Colour, State: wax.SetState, Card: s.Card, Photo: wax.PhotoRef{SHA256: string(rune('a' + i%2))}}
		swatches = append(swatches, sw)
	}
	fresh = SamplesOf(testWax, swatches)
	for i := range swatches {
		swatches[i].Photo.Reader = wax.FirstModelReader - 1
	}
	return SamplesOf(testWax, swatches), fresh
}

// What a reader of before read is doubted by 3 L* (drops3d: see wax.FirstModelReader).
// The doubt is of all its drops alike, so that it hardly falls as they grow many: a
// prediction of a dark shade is about as unsure as one drop.
func TestOldReadingsAreDoubtedAlike(t *testing.T) {
	old, fresh := oldAndNew(t)
	for i, s := range old {
		assert.InDelta(t, 9, s.Colour.Cov[0][0]-fresh[i].Colour.Cov[0][0], 1e-9)
		assert.True(t, spectrum.IsCovariance(s.Colour.Cov))
		assert.Equal(t, old[0].LightID, s.LightID, "over all photographs of one reader")
		assert.Empty(t, fresh[i].LightID)
	}
	recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}}
	width := func(samples []Sample) float64 {
		m, err := Learn(testWax, samples)
		require.NoError(t, err)
		predicted, err := m.Predict(recipe, View{Card: testCard})
		require.NoError(t, err)
		return math.Sqrt(predicted.Cov[0][0])
	}
	sure, unsure := width(fresh), width(old)
	twice := width(append(append([]Sample{}, old...), old...))
	t.Logf("sd of L*: %.2f of present readings, %.2f of old ones, %.2f of twice as many", sure, unsure, twice)
	assert.Greater(t, unsure, 1.0)
	assert.Less(t, sure, unsure/2)
	assert.Greater(t, twice, 0.8*unsure, "more of them make it no surer")
}
