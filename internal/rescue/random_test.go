package rescue

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/calibrate/shelftest"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// drawnRequest draws a batch of a shelf and what is wanted of it: usual doses, and by
// turns traces and the most that a recipe may have.
func drawnRequest(random *rand.Rand, shelf []wax.Dye) Request {
	between := func(a, b float64) float64 { return a + (b-a)*random.Float64() }
	batch := wax.Batch{
		UndyedG: math.Pow(10, between(-3, 6)),
		Load:    wax.Load{Percent: between(0, 12), Per: []wax.Convention{wax.PerWax, wax.PerTotal}[random.IntN(2)]},
	}
	if random.IntN(2) == 0 {
		batch.Additives = []wax.Additive{{Name: "Hardener", Percent: between(0.1, 5)}}
	}
	order := random.Perm(len(shelf))
	for _, d := range order[:1+random.IntN(2)] {
		dose := [...]float64{1e-12, between(0.05, 6), between(0.05, 6), wax.MaxDoseGPerKg}[random.IntN(4)]
		batch.Recipe = append(batch.Recipe, wax.Part{Dye: shelf[d].Name, DoseGPerKg: dose})
	}
	batch.Recipe, _ = wax.NewRecipe(batch.Recipe...)
	r := Request{
		Batch: batch, View: []calibrate.View{thick, {Card: spectrum.Lab{L: 95.5}}, {Card: spectrum.Lab{L: 20}}}[random.IntN(3)],
		Target:        Colour(spectrum.Lab{L: between(0, 100), A: between(-60, 60), B: between(-60, 60)}),
		ToleranceDE00: between(0, 4), UndyedPricePerKg: between(0, 10),
		Prefer: append(Preferences(), "")[random.IntN(4)],
	}
	if random.IntN(2) == 0 {
		r.Target, _ = Lighter(between(0.001, 99.999))
	}
	if random.IntN(2) == 0 {
		r.Shelf = shelf
	}
	if random.IntN(2) == 0 {
		r.PotG = batch.TotalG() * math.Pow(10, between(-2, 2))
	}
	if random.IntN(2) == 0 {
		cupboard := batch.UndyedG * between(0, 3)
		r.UndyedG = &cupboard
	}
	return r
}

// Mass is neither made nor lost: of every dye, of fragrance and of all together, what
// was in the batch and what is added is in the pot and in what was set aside. And
// nothing that is told is not a number.
func requireConserved(t *testing.T, r Request, a Answer) {
	t.Helper()
	near := func(want, got float64, what string) {
		// Additions of a billionth are left out of an answer.
		require.InDelta(t, want, got, 2e-9*math.Max(1, math.Abs(want)), "%s of %+v", what, r)
	}
	aside := wax.Batch{Load: r.Batch.Load}
	if a.SetAside != nil {
		aside = a.SetAside.Batch
		require.Positive(t, aside.UndyedG)
		require.Equal(t, r.Batch.Recipe, aside.Recipe)
	}
	added := map[string]float64{}
	addedG := a.AddUndyedG + a.AddFragranceG
	for _, d := range a.AddDyes {
		require.Positive(t, d.G)
		require.Positive(t, d.Portions)
		added[d.Dye] = d.G
		addedG += d.G
	}
	for _, x := range a.AddAdditives {
		addedG += x.G
	}
	near(r.Batch.UndyedG+a.AddUndyedG, a.After.UndyedG+aside.UndyedG, "undyed wax")
	near(r.Batch.FragranceG()+a.AddFragranceG, a.After.FragranceG()+aside.FragranceG(), "fragrance")
	near(r.Batch.TotalG()+addedG, a.After.TotalG()+aside.TotalG(), "all")
	for _, d := range append(a.After.Recipe, r.Batch.Recipe...) {
		dyeG := func(b wax.Batch) float64 { return b.Recipe.Dose(d.Dye) * b.UndyedG / 1000 }
		near(dyeG(r.Batch)+added[d.Dye], dyeG(a.After)+dyeG(aside), d.Dye)
	}
	if most := r.capacityG(); !math.IsInf(most, 1) {
		require.LessOrEqual(t, a.After.TotalG(), most*(1+1e-6), "%+v", r)
	}
	if r.UndyedG != nil {
		require.LessOrEqual(t, a.AddUndyedG, *r.UndyedG*(1+1e-6)+1e-9, "%+v", r)
	}
	for _, v := range []float64{
		a.AddUndyedG, a.AddFragranceG, a.After.TotalG(), a.MissDE00, a.From.Within95, a.Reached.Within95, a.AddedG(), a.Factor(),
	} {
		require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%+v of %+v", a, r)
	}
	require.True(t, a.From.Lab.IsFinite() && a.Reached.Lab.IsFinite() && a.Wanted.IsFinite())
}

func TestRescuesOfRandomShelvesConserveMass(t *testing.T) {
	for seed := range uint64(3) {
		m, shelf := shelftest.Random(t, 20+seed, 3)
		random := rand.New(rand.NewPCG(seed, 60))
		measured := 0
		for range 40 {
			r := drawnRequest(random, shelf)
			a, err := Mend(m, r)
			require.NoError(t, err, "%+v", r)
			requireConserved(t, r, a)
			_, err = UndyedSpreadG(m, a, r.View)
			require.NoError(t, err)
			whole, err := Measured(m, r, a)
			if err != nil {
				continue
			}
			measured++
			requireConserved(t, r, whole)
			// Nothing is set aside that there was room for.
			for _, a := range []Answer{a, whole} {
				if a.SetAside != nil {
					require.InEpsilon(t, r.capacityG(), a.After.TotalG(), 1e-6, "%+v", r)
				}
			}
		}
		assert.Greater(t, measured, 20)
	}
}

// More undyed wax is never darker and more dye never lighter: whatever the shelf, the
// batch and the view, traces and the most there is among them.
func TestMoreUndyedWaxIsNeverDarkerOnRandomShelves(t *testing.T) {
	for seed := range uint64(3) {
		m, shelf := shelftest.Random(t, 30+seed, 3)
		random := rand.New(rand.NewPCG(seed, 61))
		for range 40 {
			r := drawnRequest(random, shelf)
			last := -1.0
			for _, percent := range []float64{1e-9, 0.1, 1, 10, 50, 90, 99, 99.9999, 100 - 1e-9} {
				target, err := Lighter(percent)
				require.NoError(t, err)
				a, err := Mend(m, Request{Batch: r.Batch, Target: target, View: r.View})
				require.NoError(t, err)
				require.GreaterOrEqual(t, a.Reached.Lab.L, last-1e-9, "%g %% of %+v", percent, r)
				last = a.Reached.Lab.L
				requireConserved(t, Request{Batch: r.Batch}, a)
			}
		}
	}
}
