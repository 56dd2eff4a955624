package shade

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/calibrate/shelftest"
	"setshade/internal/optics"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// liquidSample is a liquid drop of Madder, made with the optics package: in
// liquid wax it absorbs a tenth less than it does set.
func liquidSample(id int64, dose float64) calibrate.Sample {
	layer := optics.LiquidLayerOf(1.44)
	r := spectrum.Sample(func(nm float64) float64 {
		x := (nm - 530) / 40
		return layer.Reflectance(5*(0.005+0.9*dose*0.4*math.Exp(-x*x/2)), 0.89)
	})
	return calibrate.Sample{
		ID: id, State: wax.LiquidState, Card: shelftest.Card,
		Recipe: wax.Recipe{{Dye: "Madder", DoseGPerKg: dose}},
		Colour: spectrum.Measured{Lab: spectrum.D65.Lab(r)},
	}
}

func TestFromLiquid(t *testing.T) {
	m := learned(t, liquidSample(101, 0.2), liquidSample(102, 1), liquidSample(103, 3))
	planned := wax.Recipe{{Dye: "Madder", DoseGPerKg: 0.8}}
	view := calibrate.View{Thick: true}
	promised, err := Of(m, planned, view)
	require.NoError(t, err)
	for _, c := range []struct {
		dose    float64
		verdict Verdict
	}{{0.8, Keeps}, {1.6, Breaks}} {
		drop := LiquidDrop{Colour: liquidSample(0, c.dose).Colour, Card: shelftest.Card, Dyes: []string{"Madder"}}
		set, err := FromLiquid(m, drop, view)
		require.NoError(t, err)
		assert.InEpsilon(t, c.dose, set.Recipe.Dose("Madder"), 0.05)
		assert.Less(t, set.ExplainedDE00, 0.5)
		truth, err := m.Lab(wax.Recipe{{Dye: "Madder", DoseGPerKg: c.dose}}, view)
		require.NoError(t, err)
		assert.Less(t, spectrum.DE00(truth, set.Lab), 0.5)
		promise := set.Keeping(promised.Lab, 3)
		assert.Equal(t, c.verdict, promise.Verdict, "%.1f g/kg: %+v", c.dose, promise)
		assert.Greater(t, set.Within95, promised.Within95, "doses read off a drop are less sure than weighed ones")

		drop.Dyes, drop.Recipe = nil, planned
		set, err = FromLiquid(m, drop, view)
		require.NoError(t, err)
		assert.InEpsilon(t, c.dose, set.Recipe.Dose("Madder"), 0.05, "a plan is believed as far as the drop bears it out")
		assert.Equal(t, c.dose == 0.8, set.Followed > 0.5, "followed with a chance of %.3f", set.Followed)
	}
	near := Shade{Lab: promised.Lab, Cov: promised.Cov}
	assert.Equal(t, Unsure, near.Keeping(promised.Lab, promised.Within95/2).Verdict)
}

func TestFromLiquidRefuses(t *testing.T) {
	drop := LiquidDrop{Colour: liquidSample(0, 1).Colour, Card: shelftest.Card, Dyes: []string{"Madder"}}
	_, err := FromLiquid(learned(t), drop, calibrate.View{Thick: true})
	assert.ErrorIs(t, err, calibrate.ErrNoLiquid)
	m := learned(t, liquidSample(101, 1))
	drop.Dyes = []string{"Sorrel"}
	_, err = FromLiquid(m, drop, calibrate.View{Thick: true})
	assert.ErrorIs(t, err, calibrate.ErrUnknownDye)
	drop.Dyes, drop.Colour.Lab.L = []string{"Madder"}, math.NaN()
	_, err = FromLiquid(m, drop, calibrate.View{Thick: true})
	assert.Error(t, err)
}
