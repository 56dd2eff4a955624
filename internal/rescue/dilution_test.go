package rescue

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/calibrate/shelftest"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

var thick = calibrate.View{Thick: true}

// harrow is a model of two invented dyes: these tests check the search and the masses,
// not the physics.
func harrow(t testing.TB) *calibrate.Model {
	t.Helper()
	dyes := map[string]func(nm float64) float64{
		"Bracken": func(nm float64) float64 {
			return 0.4*shelftest.Bump(nm, 450, 60) + 0.1*shelftest.Bump(nm, 540, 40)
		},
		"Slate": func(nm float64) float64 { return 0.3 * shelftest.Bump(nm, 600, 70) },
	}
	drops := []calibrate.Sample{shelftest.Drop(shelftest.Undyed, nil)}
	for dye, absorbs := range dyes {
		for _, dose := range []float64{0.3, 0.8, 2, 5} {
			ks := shelftest.Undyed
			for i := range ks {
				ks[i] += dose * absorbs(spectrum.WavelengthNM(i))
			}
			drops = append(drops, shelftest.Drop(ks, wax.Recipe{{Dye: dye, DoseGPerKg: dose}}))
		}
	}
	return shelftest.Learn(t, drops)
}

func overDyed() wax.Batch {
	return wax.Batch{
		UndyedG: 800, Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 4}, {Dye: "Slate", DoseGPerKg: 1}},
		Load: wax.Load{Percent: 8, Per: wax.PerWax},
	}
}

// Dense brute force: twenty thousand dilutions up to a thousandfold, each
// 0.035 % from the next. The targets are shades of the batch, diluted and moved
// off its own line of shades.
func TestDiluteEqualsBruteForce(t *testing.T) {
	m := harrow(t)
	batch := overDyed()
	for _, c := range []struct{ factor, l, a, b float64 }{
		{0.5, 0, 0, 0}, {0.9, 0, 0, 0}, {0.05, 0, 0, 0}, {0.3, 2, 3, -4}, {0.2, -3, -2, 5}, {1, 5, 0, 0}, {0.01, 0, 1, 1},
	} {
		wanted, err := m.Lab(batch.Recipe.Scaled(c.factor), thick)
		require.NoError(t, err)
		wanted.L, wanted.A, wanted.B = wanted.L+c.l, wanted.A+c.a, wanted.B+c.b
		miss := func(factor float64) float64 {
			lab, err := m.Lab(batch.Recipe.Scaled(factor), thick)
			require.NoError(t, err)
			return spectrum.DE00(lab, wanted)
		}
		best := 1.0
		for i := range 20000 {
			if f := math.Pow(1e-3, float64(i)/20000); miss(f) < miss(best) {
				best = f
			}
		}
		a, err := Mend(m, Request{Batch: batch, Target: Colour(wanted), View: thick, ToleranceDE00: 2})
		require.NoError(t, err)
		t.Logf("%+v: %.1f g in all, brute force %.1f g, miss %.2f", c, a.After.UndyedG, batch.UndyedG/best, a.MissDE00)
		assert.InEpsilon(t, batch.UndyedG/best, a.After.UndyedG, 1e-3)
		assert.LessOrEqual(t, a.MissDE00, miss(best)+1e-9)
	}
}

func TestDiluteKeepsDyeAndLoad(t *testing.T) {
	m := harrow(t)
	for _, per := range []wax.Convention{wax.PerWax, wax.PerTotal} {
		batch := overDyed()
		batch.Load.Per = per
		half, err := Lighter(50)
		require.NoError(t, err)
		a, err := Mend(m, Request{Batch: batch, Target: half, View: thick})
		require.NoError(t, err)
		// One part undyed to one part dyed halves every dose (common practice,
		// no source).
		assert.InDelta(t, 800, a.AddUndyedG, 1e-9)
		assert.InDelta(t, 2, a.After.Recipe.Dose("Bracken"), 1e-12)
		assert.InDelta(t, batch.DyeG(), a.After.DyeG(), 1e-9, "dye is neither made nor lost")
		assert.InDelta(t, batch.Load.FragranceG(800), a.AddFragranceG, 1e-9)
		assert.InDelta(t, batch.FragranceG()/batch.UndyedG, a.After.FragranceG()/a.After.UndyedG, 1e-12)
		assert.InDelta(t, batch.TotalG()+a.AddUndyedG+a.AddFragranceG, a.After.TotalG(), 1e-9)
		assert.Nil(t, a.SetAside)
		assert.Zero(t, a.MissDE00)
	}
}

func TestSmallPotSetsAside(t *testing.T) {
	m := harrow(t)
	batch := overDyed()
	target, err := Lighter(60)
	require.NoError(t, err)
	a, err := Mend(m, Request{Batch: batch, Target: target, View: thick, PotG: 1200})
	require.NoError(t, err)
	require.NotNil(t, a.SetAside)
	assert.InDelta(t, 1200, a.After.TotalG(), 1e-9, "the pot is filled and no more")
	assert.InDelta(t, batch.UndyedG, a.Start.UndyedG+a.SetAside.UndyedG, 1e-9)
	assert.InDelta(t, batch.DyeG(), a.Start.DyeG()+a.SetAside.DyeG(), 1e-9)
	assert.InDelta(t, batch.FragranceG(), a.Start.FragranceG()+a.SetAside.FragranceG(), 1e-9)
	assert.Equal(t, batch.Recipe, a.SetAside.Recipe, "stock keeps its recipe")
	assert.InDelta(t, 0.4*batch.Recipe.Dose("Slate"), a.After.Recipe.Dose("Slate"), 1e-12)
}

func TestDiluteSaysWhatItCannotDo(t *testing.T) {
	m := harrow(t)
	for name, c := range map[string]struct {
		hex, says string
	}{
		"darker than the batch": {"#3a2a10", "already paler"},
		"another hue":           {"#e8b8c8", "cannot turn the hue"},
		"purer":                 {"#f2c230", "purer in colour"},
	} {
		wanted, err := spectrum.LabOfHex(c.hex)
		require.NoError(t, err)
		a, err := Mend(m, Request{Batch: overDyed(), Target: Colour(wanted), View: thick, ToleranceDE00: 2})
		require.NoError(t, err, name)
		require.NotEmpty(t, a.Limits, name)
		assert.Contains(t, joined(a.Limits), c.says, name)
	}
}

func joined(lines []string) string {
	all := ""
	for _, l := range lines {
		all += l + "\n"
	}
	return all
}

// More undyed wax is never darker, whatever the batch.
func TestMoreUndyedWaxIsNeverDarker(t *testing.T) {
	m := harrow(t)
	last := -1.0
	for percent := 1.0; percent < 100; percent++ {
		target, err := Lighter(percent)
		require.NoError(t, err)
		a, err := Mend(m, Request{Batch: overDyed(), Target: target, View: thick})
		require.NoError(t, err)
		assert.Greater(t, a.Reached.Lab.L, last)
		last = a.Reached.Lab.L
	}
}

func TestDiluteRefuses(t *testing.T) {
	m := harrow(t)
	nan := math.NaN()
	for name, change := range map[string]func(*Request){
		"no wax":        func(r *Request) { r.Batch.UndyedG = 0 },
		"NaN wax":       func(r *Request) { r.Batch.UndyedG = nan },
		"negative wax":  func(r *Request) { r.Batch.UndyedG = -5 },
		"no dye":        func(r *Request) { r.Batch.Recipe = nil },
		"negative dose": func(r *Request) { r.Batch.Recipe = wax.Recipe{{Dye: "Slate", DoseGPerKg: -1}} },
		"unknown dye":   func(r *Request) { r.Batch.Recipe = wax.Recipe{{Dye: "Sorrel", DoseGPerKg: 1}} },
		"NaN target":    func(r *Request) { r.Target = Colour(spectrum.Lab{L: nan}) },
		"negative pot":  func(r *Request) { r.PotG = -1 },
		"NaN pot":       func(r *Request) { r.PotG = nan },
		"NaN load":      func(r *Request) { r.Batch.Load.Percent = nan },
	} {
		r := Request{Batch: overDyed(), Target: Colour(spectrum.Lab{L: 80, A: 5, B: 20}), View: thick}
		change(&r)
		_, err := Mend(m, r)
		assert.Error(t, err, name)
	}
	for _, percent := range []float64{0, -1, 100, nan} {
		_, err := Lighter(percent)
		assert.Error(t, err, "%g %% lighter", percent)
	}
}

func BenchmarkDilute(b *testing.B) {
	m := harrow(b)
	r := Request{Batch: overDyed(), Target: Colour(spectrum.Lab{L: 80, A: 5, B: 20}), View: thick}
	for b.Loop() {
		if _, err := Mend(m, r); err != nil {
			b.Fatal(err)
		}
	}
}
