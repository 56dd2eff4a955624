package calibrate_test

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// drip reads a drop of the doses and says it holds the recipe.
func (w world) drip(doses []float64, said wax.Recipe) calibrate.Drip {
	s := w.read(doses, onCard, "lot")
	return calibrate.Drip{Recipe: said, View: w.view(onCard), Colour: s.Colour}
}

// A new lot is the old one at another strength, or another hue, by radiative
// transfer. One drop tells which, and by how much.
func TestOneDropTellsALot(t *testing.T) {
	w := newWorld(3, 3)
	m := learn(t, w.ladders([]float64{0.05, 0.2, 0.6, 2}, onCard, "a"))
	require.NotNil(t, m)
	for d := range w.shelf.Dyes {
		said := recipeOf(w.only(d, 0.4))
		for _, strength := range []float64{0.8, 1, 1.25} {
			c, err := m.Lot(w.drip(w.only(d, 0.4*strength), said))
			require.NoError(t, err)
			t.Logf("%s at %.2f: %.3f (%.3f to %.3f), hue %.2f dE00", said, strength, c.Strength, c.From, c.To, c.HueMissDE00)
			assert.InEpsilon(t, strength, c.Strength, 0.05)
			assert.Less(t, c.From, c.Strength)
			assert.Greater(t, c.To, c.Strength)
			assert.False(t, c.HueMoved)
		}
		hue := w.both(d, (d+1)%3, 0.4, 0.15)
		c, err := m.Lot(w.drip(hue, said))
		require.NoError(t, err)
		assert.True(t, c.HueMoved, "%s with another dye in it", said)
	}
	_, err := m.Lot(w.drip(w.both(0, 1, 0.2, 0.2), recipeOf(w.both(0, 1, 0.2, 0.2))))
	assert.Error(t, err, "two dyes")
}

// lotOf renames the dye of samples to a lot of its own.
func lotOf(samples []calibrate.Sample, from, to string) []calibrate.Sample {
	out := slices.Clone(samples)
	for i := range out {
		out[i].Recipe = slices.Clone(out[i].Recipe)
		for k := range out[i].Recipe {
			if out[i].Recipe[k].Dye == from {
				out[i].Recipe[k].Dye = to
			}
		}
	}
	return out
}

// A new lot starts as the old one with a wider interval, and one drop teaches it,
// by radiative transfer.
func TestNewLotStartsFromTheOld(t *testing.T) {
	w := newWorld(3, 2)
	ladders := w.ladders([]float64{0.05, 0.2, 0.6, 2}, onCard, "a")
	alone := learn(t, ladders)
	require.NotNil(t, alone)
	const strength = 1.2
	name, older := dyeName(0), "Older"
	before := lotOf(ladders, name, older)
	teach := func(samples []calibrate.Sample) *calibrate.Model {
		m, err := calibrate.Learn(testWax, samples, calibrate.WithLots([]string{name, older}, []string{"Sorrel", "Sorrel 2"}))
		require.NoError(t, err)
		require.True(t, m.Converged)
		return m
	}
	untaught, drop := teach(before), w.read(w.only(0, 0.3*strength), onCard, "lot")
	drop.Recipe = recipeOf(w.only(0, 0.3))
	taught := teach(append(before, drop))

	tested, ok := taught.Range(name)
	require.True(t, ok)
	assert.Equal(t, calibrate.DyeRange{Name: name, LotOf: older, Drops: 1, MinGPerKg: 0.05, MaxGPerKg: 2, ReferenceGPerKg: tested.ReferenceGPerKg}, tested)
	for _, c := range []float64{0.1, 0.5, 1.5} {
		truth := w.lab(w.only(0, c*strength), asPiece)
		recipe := recipeOf(w.only(0, c))
		old := w.lab(w.only(0, c), asPiece)
		shades := map[string]shade.Shade{}
		for what, m := range map[string]*calibrate.Model{"alone": alone, "untaught": untaught, "taught": taught} {
			s, err := shade.Of(m, recipe, w.view(asPiece))
			require.NoError(t, err)
			shades[what] = s
		}
		t.Logf("%g g/kg: untaught %.2f dE00 off (95 %% %.2f), taught %.2f (95 %% %.2f)", c, spectrum.DE00(shades["untaught"].Lab, truth),
			shades["untaught"].Within95, spectrum.DE00(shades["taught"].Lab, truth), shades["taught"].Within95)
		assert.Less(t, spectrum.DE00(shades["untaught"].Lab, old), 0.3, "without a drop it is the old lot")
		assert.Greater(t, shades["untaught"].Within95, 1.5*shades["alone"].Within95)
		assert.LessOrEqual(t, spectrum.DE00(shades["untaught"].Lab, truth), shades["untaught"].Within95)
		assert.LessOrEqual(t, spectrum.DE00(shades["taught"].Lab, truth), min(shades["taught"].Within95, 0.5))
		assert.Less(t, shades["taught"].Within95, shades["untaught"].Within95*0.7)

		again, err := shade.Of(taught, wax.Recipe{{Dye: older, DoseGPerKg: c}}, w.view(asPiece))
		require.NoError(t, err)
		assert.Less(t, spectrum.DE00(again.Lab, shades["alone"].Lab), 0.3, "the old lot stays what it was")
	}
	_, ok = taught.Range("Sorrel")
	assert.False(t, ok, "lots of which nothing was seen are not there")

	saved, err := json.Marshal(taught)
	require.NoError(t, err)
	var read calibrate.Model
	require.NoError(t, json.Unmarshal(saved, &read))
	assert.Equal(t, taught.Dyes, read.Dyes)
}

func TestChartPointsAreStandardised(t *testing.T) {
	w := newWorld(5, 1)
	m := learn(t, w.ladders([]float64{0.05, 0.2, 0.6, 2}, onCard, "a"))
	require.NotNil(t, m)
	said := recipeOf(w.only(0, 0.3))
	same, err := m.ChartPoint(w.drip(w.only(0, 0.3), said))
	require.NoError(t, err)
	assert.InDelta(t, 0, same, 2)
	stronger, err := m.ChartPoint(w.drip(w.only(0, 0.3*1.3), said))
	require.NoError(t, err)
	assert.Greater(t, stronger, 3.0)
	assert.Len(t, calibrate.Alarms([]float64{same, stronger}), 1)
}
