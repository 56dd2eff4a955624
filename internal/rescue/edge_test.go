package rescue

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// leastByForce finds the least price within the tolerance over grams: for each amount
// of the first dye of an even grid, the least undyed wax within it, or where none may
// be added the least of the second dye, by even steps and halving; then again and
// again over the cells around the best. It knows nothing of slopes, dilutions or
// strengths.
func leastByForce(q *quest, set []colour, mostUndyedG, mostDyeG float64) (undyedG float64, dyesG []float64, least float64) {
	amounts := func(first, second float64) (undyedG float64, dyesG []float64, recipe wax.Recipe) {
		dyesG = []float64{first}
		if mostUndyedG > 0 {
			undyedG = second
		} else {
			dyesG = append(dyesG, second)
		}
		grams := map[string]float64{}
		for i, g := range dyesG {
			grams[set[i].Name] = g
		}
		return undyedG, dyesG, poured(q.Batch, undyedG, grams)
	}
	within := func(first, second float64) bool {
		_, _, recipe := amounts(first, second)
		return spectrum.DE00(q.lab(recipe), q.wanted) <= q.ToleranceDE00
	}
	const steps = 100
	most := max(mostUndyedG, mostDyeG)
	low, high := 0.0, mostDyeG
	best := 0.0
	least = math.Inf(1)
	for range 14 {
		for k := range steps + 1 {
			first := low + (high-low)*float64(k)/steps
			for j := range steps + 1 {
				in := most * float64(j) / steps
				if !within(first, in) {
					continue
				}
				out := max(0, in-most/steps)
				for range 45 {
					if middle := (in + out) / 2; within(first, middle) {
						in = middle
					} else {
						out = middle
					}
				}
				addG, dyes, after := amounts(first, in)
				whole := q.Batch.UndyedG + addG
				if price := q.price(q.masses(q.Batch.UndyedG/whole, whole, after)); price < least {
					best, least, undyedG, dyesG = first, price, addG, dyes
				}
				break
			}
		}
		cell := 2.5 * (high - low) / steps
		low, high = max(0, best-cell), best+cell
	}
	return undyedG, dyesG, least
}

// With a preference the grams are those of brute force within 0.1 %, and never dearer.
func TestEdgeOfToleranceEqualsBruteForce(t *testing.T) {
	wanted, err := harrow(t).Lab(wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1.3}, {Dye: "Slate", DoseGPerKg: 0.7}}, thick)
	require.NoError(t, err)
	for name, c := range map[string]struct {
		batch  wax.Recipe
		dyes   []string
		prefer Preference
	}{
		"one dye, mass":  {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}}, []string{"Slate"}, LeastMass},
		"one dye, cost":  {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}}, []string{"Slate"}, LeastCost},
		"its own dye":    {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}, {Dye: "Slate", DoseGPerKg: 0.5}}, []string{"Slate"}, LeastMass},
		"two dyes, cost": {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.4}}, []string{"Bracken", "Slate"}, LeastCost},
	} {
		q := questOf(t, Request{
			Batch:  wax.Batch{UndyedG: 800, Recipe: c.batch, Load: wax.Load{Percent: 8, Per: wax.PerWax}},
			Target: Colour(wanted), View: thick, Shelf: []wax.Dye{bracken(), slate()}, ToleranceDE00: 2, Prefer: c.prefer, UndyedPricePerKg: 8,
		})
		var set []colour
		for _, d := range q.shelf {
			for _, n := range c.dyes {
				if d.Name == n {
					set = append(set, d)
				}
			}
		}
		free := !q.holdsOnly(set...)
		mostUndyedG := 3000.0
		if !free {
			mostUndyedG = 0
		}
		f, ok := q.searched(set, free, q.cheapest)
		require.True(t, ok, name)
		near, _ := q.searched(set, free, q.aim)
		undyedG, dyesG, least := leastByForce(q, set, mostUndyedG, 4)
		t.Logf("%-15s undyed %.2f g (%.2f; nearest shade %.2f), dyes %.4f (%.4f) g, price %.4f (%.4f), dE00 %.4f", name, f.AddUndyedG, undyedG, near.AddUndyedG, gramsOf(f.AddDyes), dyesG, q.price(f.Answer), least, f.de00)
		assert.LessOrEqual(t, f.de00, q.ToleranceDE00, name)
		assert.LessOrEqual(t, q.price(f.Answer), least*(1+1e-6), name)
		assert.InDelta(t, undyedG, f.AddUndyedG, 1e-3*undyedG+1e-6, name)
		for i, d := range f.AddDyes {
			assert.InEpsilon(t, dyesG[i], d.G, 1e-3, name)
		}
	}
}

// Undyed wax alone, and a pot that is too small: the tolerance is used up, and what is
// told in whole portions keeps to it.
func TestPreferenceGoesToTheEdge(t *testing.T) {
	m := harrow(t)
	wanted, err := m.Lab(overDyed().Recipe.Scaled(0.4), thick)
	require.NoError(t, err)
	r := Request{Batch: overDyed(), Target: Colour(wanted), View: thick, ToleranceDE00: 1, PotG: 1500, UndyedPricePerKg: 6}
	near, err := Mend(m, r)
	require.NoError(t, err)
	for _, p := range Preferences() {
		r.Prefer = p
		edge, err := Mend(m, r)
		require.NoError(t, err)
		assert.InDelta(t, 1, edge.MissDE00, 1e-6, p)
		assert.Empty(t, edge.Limits, p)
		assert.Less(t, r.price(edge), r.price(near), p)
		// By force: a hundredth of a per cent less dilution is out of the tolerance.
		lab, err := m.Lab(overDyed().Recipe.Scaled(edge.Factor()*1.0001), thick)
		require.NoError(t, err)
		assert.Greater(t, spectrum.DE00(lab, wanted), 1.0, p)
	}
	r.Shelf, r.PotG, r.Batch.Recipe = []wax.Dye{bracken(), slate()}, 0, wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}}
	wanted, err = m.Lab(wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1.3}, {Dye: "Slate", DoseGPerKg: 0.7}}, thick)
	require.NoError(t, err)
	r.Target, r.ToleranceDE00, r.Prefer = Colour(wanted), 2, LeastMass
	exact, err := Mend(m, r)
	require.NoError(t, err)
	told, err := Measured(m, r, exact)
	require.NoError(t, err)
	assert.LessOrEqual(t, told.MissDE00, 2.0)
	assert.InEpsilon(t, exact.AddedG(), told.AddedG(), 0.01)
}
