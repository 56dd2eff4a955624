package calibrate

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func TestSamplesOfTakesBothStatesAndNoChecks(t *testing.T) {
	swatches := []wax.Swatch{
		{ID: 1, State: wax.SetState, Photo: wax.PhotoRef{SHA256: "aa"}},
		{ID: 2, State: wax.SetState, Check: true},
		{ID: 3, State: wax.LiquidState, Photo: wax.PhotoRef{SHA256: "bb"}},
	}
	samples := SamplesOf(wax.Wax{}, swatches)
	assert.Equal(t, []Sample{{ID: 1, State: wax.SetState, CardID: "aa"}, {ID: 3, State: wax.LiquidState, CardID: "bb"}}, samples)
}

func TestSamplesOfTakesBothHalvesOverTheBarAndThickPieces(t *testing.T) {
	over, bar := spectrum.Measured{Lab: spectrum.Lab{L: 40}}, spectrum.Lab{L: 18}
	samples := SamplesOf(wax.Wax{}, []wax.Swatch{
		{ID: 1, State: wax.SetState, Card: spectrum.Lab{L: 95}, OverBlack: &over, Bar: &bar},
		{ID: 2, State: wax.SetState, Thick: true, OverBlack: &over, Bar: &bar},
		{ID: 3, State: wax.LiquidState, OverBlack: &over, Bar: &bar},
	})
	assert.Equal(t, []Sample{
		{ID: 1, State: wax.SetState, Card: spectrum.Lab{L: 95}},
		{ID: 1, State: wax.SetState, Card: bar, Colour: over},
		{ID: 2, State: wax.SetState, Thick: true},
		{ID: 3, State: wax.LiquidState},
	}, samples)
}

func TestThickLiquidIsRefused(t *testing.T) {
	_, err := Learn(testWax, []Sample{{ID: 7, Thick: true, State: wax.LiquidState, Recipe: wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}}}})
	assert.ErrorContains(t, err, "swatch 7")
}

// A liquid drop of a pigment is not clear: it neither teaches nor is predicted.
func TestMurkyLiquidTellsNothing(t *testing.T) {
	_, _, samples := learnedShelf(t, 0.1, "Bracken", "Slate")
	forms := WithForms(map[string]wax.Form{"Slate": wax.Pigment})
	liquid := samples[2]
	liquid.State = wax.LiquidState
	m, err := Learn(testWax, append(samples, liquid), forms)
	assert.NoError(t, err)
	murky := samples[6]
	assert.Equal(t, "Slate", murky.Recipe[0].Dye)
	_, err = m.Lab(murky.Recipe, View{Liquid: true, Card: testCard})
	assert.ErrorIs(t, err, ErrMurky)
	murky.State, murky.Colour.Lab.L = wax.LiquidState, 5
	with, err := Learn(testWax, append(samples, liquid, murky), forms)
	assert.NoError(t, err)
	want, err := m.Lab(murky.Recipe, View{Card: testCard})
	assert.NoError(t, err)
	got, err := with.Lab(murky.Recipe, View{Card: testCard})
	assert.NoError(t, err)
	assert.InDelta(t, want.L, got.L, 0.3)
}
