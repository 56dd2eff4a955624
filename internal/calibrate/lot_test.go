package calibrate_test

import (
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

// A new lot starts as the old one with a wider interval, and one drop teaches
// it.
func TestNewLotStartsFromTheOld(t *testing.T) {
	w := newWorld(3, 2)
	m := learn(t, w.ladders([]float64{0.05, 0.2, 0.6, 2}, onCard, "a"))
	require.NotNil(t, m)
	old, lot := wax.Recipe{{Dye: dyeName(0), DoseGPerKg: 0.5}}, wax.Recipe{{Dye: "Lot 2", DoseGPerKg: 0.5}}
	next, err := m.WithLot(dyeName(0), "Lot 2")
	require.NoError(t, err)
	before, err := shade.Of(m, old, w.view(asPiece))
	require.NoError(t, err)
	untaught, err := shade.Of(next, lot, w.view(asPiece))
	require.NoError(t, err)
	assert.InDelta(t, 0, spectrum.DE00(before.Lab, untaught.Lab), 1e-9)
	assert.Greater(t, untaught.Within95, 2*before.Within95)

	const strength = 1.2
	drip := w.drip(w.only(0, 0.3*strength), wax.Recipe{{Dye: "Lot 2", DoseGPerKg: 0.3}})
	drip.DoseSpread = 0.01
	pot, err := next.Sight(drip)
	require.NoError(t, err)
	taught, err := shade.Of(pot.Learned(), lot, w.view(asPiece))
	require.NoError(t, err)
	truth := w.lab(w.only(0, 0.5*strength), asPiece)
	t.Logf("untaught %.2f dE00 off, taught %.2f (95 %% %.2f)", spectrum.DE00(untaught.Lab, truth), spectrum.DE00(taught.Lab, truth), taught.Within95)
	assert.Less(t, spectrum.DE00(taught.Lab, truth), 0.5)
	assert.Less(t, taught.Within95, untaught.Within95/2)

	again, err := shade.Of(pot.Learned(), old, w.view(asPiece))
	require.NoError(t, err)
	assert.Less(t, spectrum.DE00(again.Lab, before.Lab), 0.3, "the old lot stays what it was")
	_, err = m.WithLot("Sorrel", "Lot 2")
	assert.ErrorIs(t, err, calibrate.ErrUnknownDye)
	_, err = m.WithLot(dyeName(0), dyeName(1))
	assert.Error(t, err)
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
