package rescue

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func bracken() wax.Dye {
	return wax.Dye{Name: "Bracken", Form: wax.Chip, UnitMassG: 2.5, PricePerG: 0.4}
}
func slate() wax.Dye { return wax.Dye{Name: "Slate", Form: wax.Powder, PricePerG: 2} }

func questOf(t testing.TB, r Request) *quest {
	t.Helper()
	require.NoError(t, r.validate())
	q := &quest{model: harrow(t), Request: r, alone: map[string]point{}, floor: leastFactor}
	require.NoError(t, q.prepare())
	return q
}

// bruteForce searches grams: an even grid over undyed wax and the dyes of a set,
// then again and again over the cells around the best point. It knows nothing of
// dilution or strengths: it mixes masses and asks the model.
func bruteForce(q *quest, set []colour, mostUndyedG float64, mostDyeG []float64) (undyedG float64, dyesG []float64, least float64) {
	low, high := []float64{0}, []float64{mostUndyedG}
	for _, g := range mostDyeG {
		low, high = append(low, 0), append(high, g)
	}
	steps := map[int]int{1: 2000, 2: 60, 3: 16}[len(low)]
	best := make([]float64, len(low))
	least = math.Inf(1)
	for range 24 {
		var walk func(i int, at []float64)
		walk = func(i int, at []float64) {
			if i == len(low) {
				dyes := map[string]float64{}
				for j, c := range set {
					dyes[c.Name] = at[1+j]
				}
				if miss := spectrum.DE00(q.lab(poured(q.Batch, at[0], dyes)), q.wanted); miss < least {
					least = miss
					copy(best, at)
				}
				return
			}
			for k := range steps + 1 {
				walk(i+1, append(at[:i:i], low[i]+(high[i]-low[i])*float64(k)/float64(steps)))
			}
		}
		walk(0, nil)
		wide := 0.0
		for i := range low {
			cell := 3 * (high[i] - low[i]) / float64(steps)
			limit := mostUndyedG
			if i > 0 {
				limit = mostDyeG[i-1]
			}
			low[i], high[i] = max(0, best[i]-cell), min(limit, best[i]+cell)
			wide = max(wide, (high[i]-low[i])/max(best[i], 1e-3))
		}
		if wide < 1e-5 {
			break
		}
	}
	return best[0], best[1:], least
}

// Too dark, too pale, off in hue, and limits that bind: the grams are those of
// brute force within 0.1 %, and the shade is never farther off.
func TestNearestEqualsBruteForce(t *testing.T) {
	plenty, little := 4000.0, 300.0
	reachable, err := harrow(t).Lab(wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1.3}, {Dye: "Slate", DoseGPerKg: 0.7}}, thick)
	require.NoError(t, err)
	for name, c := range map[string]struct {
		batch   wax.Recipe
		target  spectrum.Lab
		dyes    []string
		undyedG float64
		// jumps marks a hue opposite to the target's, where CIEDE2000 jumps along
		// a line (Sharma, Wu and Dalal 2005, Color Res. Appl. 30:21): along it the
		// difference hardly changes while the grams do, so only it is compared.
		jumps bool
	}{
		"too dark, off in hue":     {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}}, spectrum.Lab{L: 55, A: -6, B: 12}, []string{"Slate"}, plenty, false},
		"too dark, within reach":   {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}}, reachable, []string{"Slate"}, plenty, false},
		"more of a dye it has":     {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}, {Dye: "Slate", DoseGPerKg: 0.1}}, reachable, []string{"Slate"}, plenty, false},
		"too dark, out of reach":   {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}}, spectrum.Lab{L: 70, A: 15, B: -10}, []string{"Slate"}, plenty, false},
		"the undyed wax runs out":  {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}}, spectrum.Lab{L: 68, A: -5, B: 10}, []string{"Slate"}, little, false},
		"too pale, of its own dye": {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}}, spectrum.Lab{L: 60, A: 5, B: 45}, []string{"Bracken"}, 0, false},
		"too pale, of two dyes":    {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}}, spectrum.Lab{L: 55, A: -2, B: 20}, []string{"Bracken", "Slate"}, 0, false},
		"an opposite hue":          {wax.Recipe{{Dye: "Bracken", DoseGPerKg: 3}, {Dye: "Slate", DoseGPerKg: 0.2}}, spectrum.Lab{L: 50, A: -5, B: 5}, []string{"Slate"}, plenty, true},
	} {
		q := questOf(t, Request{
			Batch:  wax.Batch{UndyedG: 800, Recipe: c.batch, Load: wax.Load{Percent: 8, Per: wax.PerWax}},
			Target: Colour(c.target), View: thick, Shelf: []wax.Dye{bracken(), slate()}, UndyedG: &c.undyedG,
		})
		var set []colour
		var most []float64
		for _, d := range q.shelf {
			for _, n := range c.dyes {
				if d.Name == n {
					set = append(set, d)
					most = append(most, 5*(800+c.undyedG)/1000)
				}
			}
		}
		f, ok := q.searched(set, c.undyedG > 0, q.aim)
		require.True(t, ok, name)
		undyedG, dyesG, least := bruteForce(q, set, c.undyedG, most)
		t.Logf("%-28s undyed %.2f g (%.2f), dyes %.4f (%.4f) g, dE00 %.4f (%.4f)", name, f.AddUndyedG, undyedG, gramsOf(f.AddDyes), dyesG, f.de00, least)
		assert.InDelta(t, least, f.de00, 1e-3*least+1e-4, name)
		if c.jumps {
			continue
		}
		assert.LessOrEqual(t, f.de00, least+1e-7, name)
		assert.InDelta(t, undyedG, f.AddUndyedG, 1e-3*undyedG+1e-6, name)
		for i, d := range f.AddDyes {
			assert.InEpsilon(t, dyesG[i], d.G, 1e-3, name)
		}
	}
}

// Whatever is asked, wax, dye, fragrance and additives are neither made nor lost,
// the load is kept, and no limit is passed.
func TestMendConservesMass(t *testing.T) {
	m := harrow(t)
	random := rand.New(rand.NewPCG(7, 7))
	between := func(a, b float64) float64 { return a + (b-a)*random.Float64() }
	for i := range 40 {
		undyedG := between(0, 1500)
		r := Request{
			Batch: wax.Batch{
				UndyedG: between(200, 1200), Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: between(0.3, 5)}, {Dye: "Slate", DoseGPerKg: between(0.05, 2)}},
				Load:      wax.Load{Percent: between(0, 10), Per: []wax.Convention{wax.PerWax, wax.PerTotal}[i%2]},
				Additives: []wax.Additive{{Name: "Hardener", Percent: between(0.5, 5)}},
			},
			Target: Colour(spectrum.Lab{L: between(45, 90), A: between(-10, 10), B: between(-5, 40)}), View: thick,
			Shelf: []wax.Dye{slate(), bracken()}, ToleranceDE00: 2, PotG: between(300, 3000), UndyedG: &undyedG, Prefer: Preferences()[i%3],
		}
		exact, err := Mend(m, r)
		require.NoError(t, err)
		measured, err := Measured(m, r, exact)
		require.NoError(t, err)
		for _, a := range []Answer{exact, measured} {
			aside := wax.Batch{Load: wax.Load{Per: wax.PerWax}}
			if a.SetAside != nil {
				aside = a.SetAside.Batch
				assert.Equal(t, r.Batch.Recipe, aside.Recipe, "stock keeps its recipe")
			}
			assert.InDelta(t, r.Batch.UndyedG+a.AddUndyedG, a.After.UndyedG+aside.UndyedG, 1e-9)
			assert.InDelta(t, r.Batch.FragranceG()+a.AddFragranceG, a.After.FragranceG()+aside.FragranceG(), 1e-9)
			assert.InDelta(t, r.Batch.AdditivesG()+a.AddAdditives[0].G, a.After.AdditivesG()+aside.AdditivesG(), 1e-9)
			for _, p := range r.Batch.Recipe {
				addedG := 0.0
				for _, d := range a.AddDyes {
					if d.Dye == p.Dye {
						addedG = d.G
					}
				}
				before := p.DoseGPerKg * r.Batch.UndyedG
				assert.InDelta(t, before/1000+addedG, (a.After.Recipe.Dose(p.Dye)*a.After.UndyedG+aside.Recipe.Dose(p.Dye)*aside.UndyedG)/1000, 1e-9)
			}
			assert.InDelta(t, r.Batch.FragranceG()/r.Batch.UndyedG, a.After.FragranceG()/a.After.UndyedG, 1e-12)
			assert.LessOrEqual(t, a.After.TotalG(), r.PotG*(1+1e-6))
			assert.LessOrEqual(t, a.AddUndyedG, undyedG*(1+1e-6)+1e-9)
		}
		for _, d := range measured.AddDyes {
			assert.InDelta(t, math.Round(d.Portions), d.G/d.Portion.MassG, 1e-6, "whole portions")
		}
	}
}

// The preference decides only among answers that are equally near.
func TestPreferenceChooses(t *testing.T) {
	m := harrow(t)
	wanted, err := m.Lab(wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1.6}, {Dye: "Slate", DoseGPerKg: 0.45}}, thick)
	require.NoError(t, err)
	answers := map[Preference]Answer{}
	for _, p := range Preferences() {
		answers[p], err = Mend(m, Request{
			Batch: overDyed(), Target: Colour(wanted), View: thick, Shelf: []wax.Dye{bracken(), slate()},
			ToleranceDE00: 4, PotG: 1500, Prefer: p, UndyedPricePerKg: 6,
		})
		require.NoError(t, err)
		assert.LessOrEqual(t, answers[p].MissDE00, 4.0)
	}
	r := Request{Shelf: []wax.Dye{bracken(), slate()}, UndyedPricePerKg: 6}
	for p := range answers {
		assert.LessOrEqual(t, answers[LeastMass].AddedG(), answers[p].AddedG()+1e-9)
		assert.LessOrEqual(t, r.Cost(answers[LeastCost]), r.Cost(answers[p])+1e-9)
	}
}

// A batch that cannot be mended says so, and what would lift the limit does lift
// it.
func TestMendSaysWhatWouldLiftALimit(t *testing.T) {
	m := harrow(t)
	wanted, err := m.Lab(overDyed().Recipe.Scaled(0.4), thick)
	require.NoError(t, err)
	none, short := 0.0, 500.0
	r := Request{Batch: overDyed(), Target: Colour(wanted), View: thick, UndyedG: &short, ToleranceDE00: 1}
	a, err := Mend(m, r)
	require.NoError(t, err)
	assert.InDelta(t, 500, a.AddUndyedG, 1e-6)
	assert.Contains(t, joined(a.Limits), "with 700 g more it would come within 0.0 dE00")
	assert.Contains(t, joined(a.Limits), "or set aside all but")
	more := 1200.0
	r.UndyedG = &more
	a, err = Mend(m, r)
	require.NoError(t, err)
	assert.Less(t, a.MissDE00, 0.01)
	assert.Empty(t, a.Limits)

	r = Request{Batch: overDyed(), Target: Colour(spectrum.Lab{L: 60, A: 40, B: 20}), View: thick, UndyedG: &none, Shelf: []wax.Dye{slate()}, ToleranceDE00: 1}
	a, err = Mend(m, r)
	require.NoError(t, err)
	assert.Contains(t, joined(a.Limits), "no dye offered turns the hue that far: it stays too")

	limited := slate()
	limited.MaxDoseGPerKg = 1.5
	dark, err := m.Lab(wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}, {Dye: "Slate", DoseGPerKg: 4}}, thick)
	require.NoError(t, err)
	r = Request{Batch: overDyed(), Target: Colour(dark), View: thick, Shelf: []wax.Dye{limited}, ToleranceDE00: 1}
	a, err = Mend(m, r)
	require.NoError(t, err)
	assert.InDelta(t, 1.5, a.After.Recipe.Dose("Slate"), 1e-6)
	assert.Contains(t, joined(a.Limits), "Slate is at its maximum dose")
}

// Undyed wax may be dyed from nothing; without a dye nothing is to be done.
func TestMendDyesUndyedWax(t *testing.T) {
	m := harrow(t)
	wanted, err := m.Lab(wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}}, thick)
	require.NoError(t, err)
	r := Request{Batch: wax.Batch{UndyedG: 500, Load: wax.Load{Per: wax.PerWax}}, Target: Colour(wanted), View: thick, Shelf: []wax.Dye{bracken(), slate()}, ToleranceDE00: 0.5}
	a, err := Mend(m, r)
	require.NoError(t, err)
	require.Len(t, a.AddDyes, 1)
	assert.InDelta(t, 0.5, a.AddDyes[0].G, 1e-2)
	assert.Zero(t, a.AddUndyedG)
	r.Shelf = nil
	_, err = Mend(m, r)
	assert.ErrorIs(t, err, ErrNoDye)
}

func TestMendRefuses(t *testing.T) {
	m := harrow(t)
	bad := math.NaN()
	for name, change := range map[string]func(*Request){
		"NaN undyed wax":     func(r *Request) { r.UndyedG = &bad },
		"negative moulds":    func(r *Request) { r.MouldsG = -1 },
		"unknown preference": func(r *Request) { r.Prefer = "speed" },
		"dye twice":          func(r *Request) { r.Shelf = []wax.Dye{slate(), slate()} },
		"dye without form":   func(r *Request) { r.Shelf = []wax.Dye{{Name: "Slate"}} },
		"NaN tolerance":      func(r *Request) { r.ToleranceDE00 = bad },
		"liquid view":        func(r *Request) { r.View.Liquid, r.View.Thick = true, false },
	} {
		r := Request{Batch: overDyed(), Target: Colour(spectrum.Lab{L: 80, A: 5, B: 20}), View: thick}
		change(&r)
		_, err := Mend(m, r)
		assert.Error(t, err, name)
	}
}

func BenchmarkMendWithDyes(b *testing.B) {
	m := harrow(b)
	r := Request{Batch: overDyed(), Target: Colour(spectrum.Lab{L: 60, A: -5, B: 10}), View: thick, Shelf: []wax.Dye{bracken(), slate()}}
	for b.Loop() {
		exact, err := Mend(m, r)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := Measured(m, r, exact); err != nil {
			b.Fatal(err)
		}
	}
}

func gramsOf(dyes []AddedDye) []float64 {
	var out []float64
	for _, d := range dyes {
		out = append(out, d.G)
	}
	return out
}
