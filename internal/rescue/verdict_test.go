package rescue

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate/shelftest"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// judged is the verdict on a batch of 900 g of Bracken, towards a colour.
func judged(t *testing.T, doseGPerKg float64, target spectrum.Lab) (Answer, Verdict) {
	t.Helper()
	small := bracken()
	small.UnitMassG = 0.2
	r := Request{
		Batch:  wax.Batch{UndyedG: 900, Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: doseGPerKg}}, Load: wax.Load{Percent: 8, Per: wax.PerWax}},
		Target: Colour(target), View: thick, ToleranceDE00: 2, Shelf: []wax.Dye{small, slate()}, Fresh: []wax.Dye{small, slate()},
	}
	m := harrow(t)
	exact, err := Mend(m, r)
	require.NoError(t, err)
	a, err := Measured(m, r, exact)
	require.NoError(t, err)
	v, err := Judge(m, r, a)
	require.NoError(t, err)
	return a, v
}

// One part of dyed wax in three parts has a third of its dose (common practice, no
// source), so a batch three times too strong takes twice its wax, and one twelve times
// too strong eleven times: that is a stock, and no batch to mend.
func TestABatchThreeTimesTooStrongIsMendedAndOneTwelveTimesIsNot(t *testing.T) {
	m := harrow(t)
	q := &quest{model: m, Request: Request{View: thick}}
	wanted := q.lab(wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}})
	a, v := judged(t, 1.5, wanted)
	assert.Equal(t, MendIt, v.Way)
	assert.True(t, v.InProportion)
	assert.InEpsilon(t, 1800, a.AddUndyedG, 0.01)
	assert.InEpsilon(t, 2, a.Times(), 0.01)

	_, v = judged(t, 6, wanted)
	assert.Equal(t, PourFresh, v.Way)
	assert.False(t, v.InProportion)
	require.NotNil(t, v.Fresh)
	assert.LessOrEqual(t, v.Fresh.MissDE00, 2.0)
	assert.Equal(t, 900.0, v.Fresh.UndyedG)
	assert.Equal(t, 72.0, v.Fresh.FragranceG())

	_, v = judged(t, 0.5, wanted)
	assert.Equal(t, PourAsIs, v.Way)
}

// A green that no dye here makes: nothing is an order, and the batch is poured.
func TestAColourThatNothingReachesIsNoOrder(t *testing.T) {
	green, err := spectrum.LabOfHex("#00ff00")
	require.NoError(t, err)
	a, v := judged(t, 3, green)
	require.Greater(t, a.MissDE00, 10.0)
	if a.Times() > 1 {
		assert.False(t, v.InProportion)
		assert.Equal(t, PourAsIs, v.Way)
	}
}

// Whatever the batch: what is told to do is in proportion, and a fresh batch fits pot
// and cupboard with every dye within its maximum.
func TestVerdictsOnRandomBatchesAreInProportion(t *testing.T) {
	ways := map[Way]int{}
	for seed := range uint64(2) {
		m, shelf := shelftest.Random(t, 70+seed, 3)
		random := rand.New(rand.NewPCG(seed, 62))
		for range 30 {
			r := drawnRequest(random, shelf)
			r.Fresh = shelf
			exact, err := Mend(m, r)
			require.NoError(t, err)
			a, err := Measured(m, r, exact)
			if err != nil {
				continue
			}
			v, err := Judge(m, r, a)
			require.NoError(t, err, "%+v", r)
			ways[v.Way]++
			if v.InProportion && a.Times() > 1+1e-6 {
				require.LessOrEqual(t, a.Times(), 4+1e-6)
				require.LessOrEqual(t, a.MissDE00, max(2, r.ToleranceDE00))
			}
			if v.Way == MendIt {
				require.True(t, v.InProportion)
				require.Greater(t, v.AsItIsDE00, a.MissDE00)
			}
			if f := v.Fresh; f != nil {
				require.LessOrEqual(t, f.TotalG(), r.capacityG()*(1+1e-6), "%+v", r)
				if r.UndyedG != nil {
					require.LessOrEqual(t, f.UndyedG, *r.UndyedG)
				}
				for _, p := range f.Recipe {
					require.LessOrEqual(t, p.DoseGPerKg, 5*(1+1e-9))
				}
			}
		}
	}
	for _, w := range []Way{MendIt, PourAsIs, PourFresh} {
		assert.Positive(t, ways[w], w)
	}
	t.Log(ways)
}

// A chip of 2.5 g is a quarter of a batch of 100 g at 6 g/kg: counted in quarters its
// shade is missed by far, so it is weighed to 0.01 g.
func TestAChipTooCoarseToCountIsWeighed(t *testing.T) {
	m := harrow(t)
	q := &quest{model: m, Request: Request{View: thick}}
	r := Request{
		Batch:  wax.Batch{UndyedG: 100, Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}}, Load: wax.Load{Per: wax.PerWax}},
		Target: Colour(q.lab(wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}})), View: thick, ToleranceDE00: 1, Shelf: []wax.Dye{bracken()}, Fresh: []wax.Dye{bracken()},
	}
	exact, err := Mend(m, r)
	require.NoError(t, err)
	a, err := Measured(m, r, exact)
	require.NoError(t, err)
	assert.LessOrEqual(t, a.MissDE00, 1.0)
	require.Len(t, a.AddDyes, 1)
	assert.Equal(t, wax.Weighed(), a.AddDyes[0].Portion)
	assert.InDelta(t, 0.15, a.AddDyes[0].G, 1e-9)
	v, err := Judge(m, r, a)
	require.NoError(t, err)
	assert.LessOrEqual(t, v.Fresh.MissDE00, 1.0)
	assert.InDelta(t, 0.2, v.Fresh.Dyes[0].G, 0.011, "the cheapest of what is hardly seen apart")

	// In 10 kg a quarter chip is little: it is counted.
	r.Batch.UndyedG = 10_000
	exact, err = Mend(m, r)
	require.NoError(t, err)
	a, err = Measured(m, r, exact)
	require.NoError(t, err)
	assert.Equal(t, "quarter chip", a.AddDyes[0].Portion.Name())
}
