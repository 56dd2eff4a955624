package recipe

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/calibrate/shelftest"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// everyStockRecipe tries every share of the stock with every addition, by the
// model itself, and returns the best. It shares no code with the search.
func everyStockRecipe(t *testing.T, m *calibrate.Model, shelf []Ingredient, stock wax.Recipe, shares []float64, target spectrum.Lab, l Limits, atMostDE00 float64) (key [6]float64, what string, found bool) {
	farthest := math.Max(math.Ceil(atMostDE00*10)/10, l.ToleranceDE00)
	for _, share := range shares {
		var walk func(next int, chosen, portions []int)
		walk = func(next int, chosen, portions []int) {
			if next < len(shelf) {
				walk(next+1, chosen, portions)
				if len(chosen) == l.MaxDyes || slices.Contains(l.NeverUse, shelf[next].Name) {
					return
				}
				has := share * stock.Dose(shelf[next].Name)
				for n := 1; has+float64(n)*shelf[next].StepGPerKg <= shelf[next].MaxDoseGPerKg*(1+1e-9); n++ {
					walk(next+1, append(slices.Clone(chosen), next), append(slices.Clone(portions), n))
				}
				return
			}
			doses := map[string]float64{}
			for _, p := range stock {
				doses[p.Dye] = share * p.DoseGPerKg
			}
			price, said := 0.0, fmt.Sprintf("%.3f", share)
			for i, d := range chosen {
				added := float64(portions[i]) * shelf[d].StepGPerKg
				doses[shelf[d].Name] += added
				price += added * shelf[d].PricePerG
				said += fmt.Sprintf(" %s %d", shelf[d].Name, portions[i])
			}
			for _, must := range l.MustUse {
				if doses[must] == 0 {
					return
				}
			}
			var parts []wax.Part
			for name, dose := range doses {
				i := slices.IndexFunc(shelf, func(in Ingredient) bool { return in.Name == name })
				if dose > shelf[i].MaxDoseGPerKg*(1+1e-9) {
					return
				}
				parts = append(parts, wax.Part{Dye: name, DoseGPerKg: dose})
			}
			recipe, err := wax.NewRecipe(parts...)
			require.NoError(t, err)
			lab, err := m.Lab(recipe, l.View)
			require.NoError(t, err)
			de00 := spectrum.DE00(target, lab)
			miss := math.Max(math.Ceil(de00*10)/10, l.ToleranceDE00)
			k := [6]float64{miss, -share, 0, price, float64(len(chosen)), de00}
			if miss <= farthest && (!found || slices.Compare(k[:], key[:]) < 0) {
				key, what, found = k, said, true
			}
		}
		walk(0, nil, nil)
	}
	return key, what, found
}

// Exhaustive enumeration is the independent check, on random shelves with a
// random stock: the search returns the very recipe, which is never farther off
// than the best without stock but for the tolerance.
func TestMatchWithStockEqualsTryingEveryRecipe(t *testing.T) {
	times := map[bool]int{}
	for seed := range uint64(2) {
		m, dyes := shelftest.Random(t, seed, 4)
		shelf := portioned(t, dyes, 350)
		random := rand.New(rand.NewPCG(seed, 55))
		for trial := range 12 {
			limits := Limits{MaxDyes: 1 + trial%3, Answers: 1, View: thick, ToleranceDE00: []float64{0, 1, 2}[random.IntN(3)]}
			if trial%4 == 3 {
				limits.View = calibrate.View{Card: shelftest.Card}
			}
			stock := wax.Recipe{{Dye: dyes[0].Name, DoseGPerKg: 6 * random.Float64()}, {Dye: dyes[2].Name, DoseGPerKg: 2 * random.Float64()}}
			switch trial % 5 {
			case 3:
				limits.MustUse = []string{dyes[0].Name, dyes[1].Name}[:min(2, limits.MaxDyes)]
			case 4:
				limits.NeverUse = []string{dyes[1].Name}
			}
			target := spectrum.Lab{L: 45 + 45*random.Float64(), A: 40*random.Float64() - 20, B: 50*random.Float64() - 20}
			if trial%2 == 0 { // a shade that the stock can be part of
				made := stock.Scaled(0.2 + 0.3*random.Float64())
				made = append(made, wax.Part{Dye: dyes[3].Name, DoseGPerKg: random.Float64()})
				var err error
				target, err = m.Lab(made, limits.View)
				require.NoError(t, err)
			}
			shares := []float64{0.1, 0.25, 0.4, 0.73}
			plain, _, err := Match(m, shelf, target, limits)
			require.NoError(t, err)
			want, what, any := everyStockRecipe(t, m, shelf, stock, shares, target, limits, plain[0].DE00)
			got, found, complete, err := MatchStock(m, shelf, stock, shares, target, limits, plain[0].DE00)
			require.NoError(t, err)
			require.True(t, complete)
			times[found]++
			require.Equal(t, any, found, "seed %d trial %d: %s", seed, trial, what)
			if !found {
				continue
			}
			said := fmt.Sprintf("%.3f", got.Share)
			for _, a := range got.Amounts {
				said += fmt.Sprintf(" %s %d", a.Dye, a.Portions)
			}
			assert.Equal(t, what, said, "seed %d trial %d", seed, trial)
			assert.InDelta(t, want[5], got.DE00, 1e-9)
			assert.InDelta(t, want[3], got.PricePerKg, 1e-9)
			assert.LessOrEqual(t, got.DE00, max(limits.ToleranceDE00, math.Ceil(plain[0].DE00*10)/10), "never worse than without")
			for _, p := range got.Recipe {
				added := 0.0
				for _, a := range got.Amounts {
					if a.Dye == p.Dye {
						added = a.DoseGPerKg
					}
				}
				assert.InDelta(t, p.DoseGPerKg, got.Share*stock.Dose(p.Dye)+added, 1e-12, "the stock's dose and what is added")
			}
		}
	}
	assert.Greater(t, times[true], 10)
	assert.Greater(t, times[false], 3, "stock that does not fit is left alone")
}

// Common practice, no source: one part undyed to one part dyed halves every
// dose. So half a batch of stock matches the shade of half its doses, with
// nothing to add.
func TestOnePartStockToOnePartUndyedHalvesEveryDose(t *testing.T) {
	m, dyes := shelftest.Random(t, 2, 3)
	stock := wax.Recipe{{Dye: dyes[0].Name, DoseGPerKg: 3}, {Dye: dyes[1].Name, DoseGPerKg: 1.5}}
	target, err := m.Lab(stock.Scaled(0.5), thick)
	require.NoError(t, err)
	got, found, _, err := MatchStock(m, portioned(t, dyes, 1000), stock, []float64{0.25, 0.5, 0.75}, target, Limits{MaxDyes: 2, Answers: 1, View: thick}, 0.1)
	require.NoError(t, err)
	require.True(t, found)
	assert.Equal(t, 0.5, got.Share)
	assert.Empty(t, got.Amounts)
	assert.InDelta(t, 0, got.DE00, 1e-9)
	assert.Equal(t, wax.Recipe{{Dye: dyes[0].Name, DoseGPerKg: 1.5}, {Dye: dyes[1].Name, DoseGPerKg: 0.75}}, got.Recipe)
}

func TestMatchStockRefuses(t *testing.T) {
	m, dyes := shelftest.Random(t, 2, 3)
	limits := Limits{MaxDyes: 2, Answers: 1, View: thick, NeverUse: []string{dyes[1].Name}}
	shelf, target := portioned(t, dyes, 1000), spectrum.Lab{L: 70}
	_, _, _, err := MatchStock(m, shelf, wax.Recipe{{Dye: dyes[1].Name, DoseGPerKg: 1}}, []float64{0.5}, target, limits, 5)
	assert.ErrorContains(t, err, "must not be used")
	_, _, _, err = MatchStock(m, shelf, wax.Recipe{{Dye: "Sorrel", DoseGPerKg: 1}}, []float64{0.5}, target, limits, 5)
	assert.ErrorIs(t, err, calibrate.ErrUnknownDye)
	_, found, complete, err := MatchStock(m, shelf, wax.Recipe{{Dye: dyes[0].Name, DoseGPerKg: 1}}, []float64{0.5}, target, Limits{MaxDyes: 2, Answers: 1, View: thick, MostBoxes: 1}, 50)
	require.NoError(t, err)
	assert.False(t, found || complete, "cut short")
}

// Forty shares of a stock, on a shelf of 40.
func BenchmarkMatchStock40Dyes(b *testing.B) {
	m, dyes := shelfOf40(b)
	shelf := portioned(b, dyes, 1000)
	stock := wax.Recipe{{Dye: dyes[3].Name, DoseGPerKg: 3}, {Dye: dyes[7].Name, DoseGPerKg: 2}}
	var shares []float64
	for i := range 40 {
		shares = append(shares, float64(i+1)/40)
	}
	for name, target := range map[string]spectrum.Lab{"dull": {L: 75, A: 10, B: 20}, "blue": {L: 40, A: 0, B: -40}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, _, _, err := MatchStock(m, shelf, stock, shares, target, Limits{MaxDyes: 3, ToleranceDE00: 1, Answers: 1, View: thick}, 1); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
