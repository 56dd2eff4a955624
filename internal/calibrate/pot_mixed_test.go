package calibrate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// The spread of the doses of a mixture is that of many mixtures weighed with
// errors (Monte Carlo: JCGM 101:2008, Supplement 1 to the "Guide to the
// expression of uncertainty in measurement").
func TestMixedCarriesTheErrorsOfWeighing(t *testing.T) {
	w := newWorld(3, 2)
	m := learn(t, w.ladders([]float64{0.05, 0.2, 0.6, 2}, onCard, "a"))
	a, b := m.Dyes[0].Name, m.Dyes[1].Name
	pot, err := m.Planned(wax.Recipe{{Dye: a, DoseGPerKg: 2}}, 0.05)
	require.NoError(t, err)
	assert.InDelta(t, 0.05, pot.DoseSpread[0], 1e-12)
	const factor, added, other = 0.4, 0.5, 0.7
	mixed, err := pot.Mixed(factor, wax.Recipe{{Dye: a, DoseGPerKg: added}, {Dye: b, DoseGPerKg: other}})
	require.NoError(t, err)
	assert.InDelta(t, 2*factor+added, mixed.Recipe.Dose(a), 1e-12)
	assert.InDelta(t, other, mixed.Recipe.Dose(b), 1e-12)
	random := rand.New(rand.NewPCG(1, 2))
	logs := make([]float64, 20000)
	for i := range logs {
		logs[i] = math.Log(2*factor*math.Exp(0.05*random.NormFloat64()) + added*math.Exp(0.03*random.NormFloat64()))
	}
	assert.InEpsilon(t, stat.StdDev(logs, nil), mixed.DoseSpread[0], 0.03)
	assert.InDelta(t, 0.03, mixed.DoseSpread[1], 1e-12)
	_, err = pot.Mixed(1, wax.Recipe{{Dye: "Sorrel", DoseGPerKg: 1}})
	assert.ErrorIs(t, err, calibrate.ErrUnknownDye)
}

// A second drop of a misweighed pot narrows its doses and brings them nearer to
// the truth, and so the shade; from the plan on, Sight and Planned agree.
func TestSightsFollowEachOther(t *testing.T) {
	w := newWorld(3, 2)
	m := learn(t, w.ladders([]float64{0.05, 0.2, 0.6, 2}, onCard, "a"))
	view := w.view(onCard)
	dye := m.Dyes[0].Name
	truth := wax.Recipe{{Dye: dye, DoseGPerKg: 1.15}}
	lab, err := m.Lab(truth, view)
	require.NoError(t, err)
	drop := spectrum.Measured{Lab: lab, Cov: [3][3]float64{{0.09}, {0, 0.09}, {0, 0, 0.09}}}
	plan := wax.Recipe{{Dye: dye, DoseGPerKg: 1}}

	at, err := m.Planned(plan, 0.05)
	require.NoError(t, err)
	direct, err := m.Sight(calibrate.Drip{Recipe: plan, DoseSpread: 0.05, View: view, Colour: drop})
	require.NoError(t, err)
	missed := 0.15
	for i := range 3 {
		next, err := at.Sight(view, drop)
		require.NoError(t, err)
		if i == 0 {
			assert.InDelta(t, direct.Recipe.Dose(dye), next.Recipe.Dose(dye), 1e-12)
			assert.InDelta(t, direct.DoseSpread[0], next.DoseSpread[0], 1e-12)
		}
		assert.Less(t, next.DoseSpread[0], at.DoseSpread[0])
		assert.Less(t, math.Abs(next.Recipe.Dose(dye)-1.15), missed)
		at, missed = next, math.Abs(next.Recipe.Dose(dye)-1.15)
	}
}
