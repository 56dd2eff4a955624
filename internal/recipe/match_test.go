package recipe

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/calibrate/shelftest"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// tried is one recipe of an exhaustive enumeration.
type tried struct {
	set   string
	doses string
	key   [5]float64
}

// everyRecipe tries every recipe with the model itself and returns the best of
// each set of dyes in order. It shares no code with the search.
func everyRecipe(t *testing.T, m *calibrate.Model, shelf []Ingredient, target spectrum.Lab, l Limits) []tried {
	best := map[string]tried{}
	var walk func(next int, chosen []int, portions []int)
	walk = func(next int, chosen []int, portions []int) {
		if next == len(shelf) {
			for _, must := range l.MustUse {
				if !slices.ContainsFunc(chosen, func(i int) bool { return shelf[i].Name == must }) {
					return
				}
			}
			r := tryRecipe(t, m, shelf, target, l, chosen, portions)
			if old, ok := best[r.set]; !ok || slices.Compare(r.key[:], old.key[:]) < 0 {
				best[r.set] = r
			}
			return
		}
		walk(next+1, chosen, portions)
		if len(chosen) == l.MaxDyes || slices.Contains(l.NeverUse, shelf[next].Name) {
			return
		}
		for n := 1; float64(n)*shelf[next].StepGPerKg <= shelf[next].MaxDoseGPerKg*(1+1e-9); n++ {
			walk(next+1, append(slices.Clone(chosen), next), append(slices.Clone(portions), n))
		}
	}
	walk(0, nil, nil)
	var out []tried
	for _, r := range best {
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b tried) int { return slices.Compare(a.key[:], b.key[:]) })
	return out
}

func tryRecipe(t *testing.T, m *calibrate.Model, shelf []Ingredient, target spectrum.Lab, l Limits, chosen, portions []int) tried {
	var r tried
	var recipe wax.Recipe
	price, unpriced := 0.0, 0.0
	for i, d := range chosen {
		dose := float64(portions[i]) * shelf[d].StepGPerKg
		recipe = append(recipe, wax.Part{Dye: shelf[d].Name, DoseGPerKg: dose})
		price += dose * shelf[d].PricePerG
		if shelf[d].PricePerG == 0 {
			unpriced++
		}
		r.set += shelf[d].Name + " "
		r.doses += fmt.Sprint(portions[i], " ")
	}
	lab, err := m.Lab(recipe, l.View)
	require.NoError(t, err)
	de00 := spectrum.DE00(target, lab)
	r.key = [5]float64{math.Max(math.Ceil(de00*10)/10, l.ToleranceDE00), unpriced, price, float64(len(chosen)), de00}
	return r
}

// Exhaustive enumeration is the independent check: the search must return the
// very recipes, and so is never worse.
func TestMatchEqualsTryingEveryRecipe(t *testing.T) {
	for seed := range uint64(3) {
		m, dyes := shelftest.Random(t, seed, 5)
		random := rand.New(rand.NewPCG(seed, 9))
		dyes[1].PricePerG = 0
		for trial := range 14 {
			limits := Limits{
				MaxDyes: 1 + trial%4, Answers: 1 + random.IntN(4), View: thick,
				ToleranceDE00: []float64{0, 0.5, 2}[random.IntN(3)],
			}
			undyedG := 250.0 // quarter chips of 1 g/kg, five at most
			if limits.MaxDyes < 4 {
				undyedG = 600
			}
			if random.IntN(3) == 0 {
				limits.View = calibrate.View{Card: shelftest.Card}
			}
			if random.IntN(3) == 0 {
				limits.MustUse, limits.NeverUse = []string{dyes[random.IntN(2)].Name}, []string{dyes[3].Name}
			}
			shelf := portioned(t, dyes, undyedG)
			target := spectrum.Lab{L: 30 + 65*random.Float64(), A: 80*random.Float64() - 40, B: 100*random.Float64() - 40}
			if trial%2 == 0 { // a shade of the shelf, or close to one
				var recipe wax.Recipe
				for _, d := range []int{0, 2, 4} {
					recipe = append(recipe, wax.Part{Dye: dyes[d].Name, DoseGPerKg: 0.1 + 3*random.Float64()})
				}
				lab, err := m.Lab(recipe, limits.View)
				require.NoError(t, err)
				target = lab
			}
			want := everyRecipe(t, m, shelf, target, limits)
			got, reach, err := Match(m, shelf, target, limits)
			require.NoError(t, err)
			assert.True(t, reach.Complete)
			require.Len(t, got, min(limits.Answers, len(want)))
			for i, c := range got {
				set, doses := "", ""
				for _, a := range c.Amounts {
					set += a.Dye + " "
					doses += fmt.Sprint(a.Portions, " ")
				}
				assert.Equal(t, want[i].set, set, "seed %d trial %d answer %d: %v", seed, trial, i, limits)
				assert.Equal(t, want[i].doses, doses)
				assert.InDelta(t, want[i].key[4], c.DE00, 1e-9)
				assert.InDelta(t, want[i].key[2], c.PricePerKg, 1e-9)
				assert.Equal(t, c.Recipe, c.Shade.Recipe)
				assert.InDelta(t, c.DE00, spectrum.DE00(target, c.Shade.Lab), 1e-9)
				assert.Len(t, c.Shade.Lights, 3)
			}
		}
	}
}

// Fine portions, too many to try them all: against random recipes, and against
// the nearest portions of the doses that made the target.
func TestMatchOfFinePortionsIsNeverBeaten(t *testing.T) {
	m, dyes := shelftest.Random(t, 7, 6)
	shelf := portioned(t, dyes, 20000) // 400 quarter chips at most
	random := rand.New(rand.NewPCG(7, 7))
	for range 5 {
		var made wax.Recipe
		var chosen []int
		for _, d := range []int{random.IntN(2), 2 + random.IntN(2), 4 + random.IntN(2)} {
			chosen = append(chosen, d)
			made = append(made, wax.Part{Dye: dyes[d].Name, DoseGPerKg: 0.05 + 2*random.Float64()})
		}
		target, err := m.Lab(made, thick)
		require.NoError(t, err)
		limits := Limits{MaxDyes: 3, Answers: 1, View: thick}
		got, reach, err := Match(m, shelf, target, limits)
		require.NoError(t, err)
		assert.Less(t, reach.UnroundedDE00, 0.01, "the target was made of this shelf")
		for range 4000 {
			var portions []int
			for i := range chosen {
				n := int(made[i].DoseGPerKg/shelf[chosen[i]].StepGPerKg) - 3 + random.IntN(8)
				portions = append(portions, max(1, n))
			}
			r := tryRecipe(t, m, shelf, target, limits, chosen, portions)
			best := math.Ceil(got[0].DE00*10) / 10
			require.GreaterOrEqual(t, r.key[0], best)
			if r.key[0] == best {
				require.GreaterOrEqual(t, r.key[2], got[0].PricePerKg-1e-9)
			}
		}
	}
}

func TestMatchSaysWhatStopsIt(t *testing.T) {
	m, dyes := shelftest.Random(t, 2, 5)
	shelf := portioned(t, dyes, 1000)
	best := func(target spectrum.Lab) ([]Candidate, Reach) {
		got, reach, err := Match(m, shelf, target, Limits{MaxDyes: 3, ToleranceDE00: 1, Answers: 2, View: thick})
		require.NoError(t, err)
		assert.False(t, reach.Reached)
		t.Logf("%v: %.1f dE00, %s", target, got[0].DE00, strings.Join(reach.Why, "; "))
		return got, reach
	}
	_, reach := best(spectrum.Lab{L: 100})
	assert.Contains(t, strings.Join(reach.Why, "; "), "too pale")
	_, reach = best(spectrum.Lab{L: 3})
	assert.Contains(t, strings.Join(reach.Why, "; "), "too dark")
	assert.Contains(t, strings.Join(reach.Why, "; "), "at its maximum dose")
	_, reach = best(spectrum.Lab{L: 60, A: 70, B: -50})
	assert.Contains(t, strings.Join(reach.Why, "; "), "too saturated")

	// One dye alone cannot turn its hue: not a little, and not to the opposite.
	only := []Ingredient{shelf[0]}
	own, err := m.Lab(wax.Recipe{{Dye: dyes[0].Name, DoseGPerKg: 2}}, thick)
	require.NoError(t, err)
	for _, turn := range []float64{40, 180} {
		sin, cos := math.Sincos(turn * math.Pi / 180)
		turned := spectrum.Lab{L: own.L, A: cos*own.A - sin*own.B, B: sin*own.A + cos*own.B}
		_, reach, err := Match(m, only, turned, Limits{MaxDyes: 1, ToleranceDE00: 1, Answers: 1, View: thick})
		require.NoError(t, err)
		assert.Contains(t, strings.Join(reach.Why, "; "), "hue is not on this shelf", "turned by %g°", turn)
	}

	// The tint of a quarter of a portion is there, but cannot be counted out.
	pale, err := m.Lab(wax.Recipe{{Dye: dyes[0].Name, DoseGPerKg: 0.5}}, thick)
	require.NoError(t, err)
	coarse := portioned(t, dyes[:1], 100) // quarter chips of 2.5 g/kg
	_, reach, err = Match(m, coarse, pale, Limits{MaxDyes: 1, ToleranceDE00: 1, Answers: 1, View: thick})
	require.NoError(t, err)
	assert.Contains(t, strings.Join(reach.Why, "; "), "too coarse")
	assert.Less(t, reach.UnroundedDE00, 0.1)

	got, reach, err := Match(m, shelf, pale, Limits{MaxDyes: 1, ToleranceDE00: 1, Answers: 3, View: thick})
	require.NoError(t, err)
	assert.True(t, reach.Reached)
	assert.Empty(t, reach.Why)
	assert.Equal(t, 2, got[0].Amounts[0].Portions)
}

func TestMatchCutShortSaysSo(t *testing.T) {
	m, dyes := shelftest.Random(t, 2, 5)
	got, reach, err := Match(m, portioned(t, dyes, 5000), spectrum.Lab{L: 60, A: 10, B: 5}, Limits{MaxDyes: 3, Answers: 1, MostBoxes: 3, View: thick})
	require.NoError(t, err)
	assert.False(t, reach.Complete)
	assert.Len(t, got, 1, "the best so far")
}

func TestUndyedWaxNeedsNoDye(t *testing.T) {
	m, dyes := shelftest.Random(t, 2, 3)
	undyed, err := m.Lab(nil, thick)
	require.NoError(t, err)
	got, reach, err := Match(m, portioned(t, dyes, 1000), undyed, Limits{MaxDyes: 2, ToleranceDE00: 1, Answers: 1, View: thick})
	require.NoError(t, err)
	assert.True(t, reach.Reached)
	assert.Empty(t, got[0].Recipe)
	assert.InDelta(t, 0, got[0].DE00, 1e-9)
}

func TestMatchRefuses(t *testing.T) {
	m, dyes := shelftest.Random(t, 2, 3)
	fair := Limits{MaxDyes: 2, Answers: 1, ToleranceDE00: 1, View: thick}
	for name, change := range map[string]func(shelf []Ingredient, target *spectrum.Lab, l *Limits) []Ingredient{
		"no finite colour": func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient { c.A = math.NaN(); return s },
		"no dyes":          func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient { l.MaxDyes = 0; return s },
		"five dyes":        func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient { l.MaxDyes = 5; return s },
		"no answers":       func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient { l.Answers = 0; return s },
		"boxes below 0":    func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient { l.MostBoxes = -1; return s },
		"NaN tolerance":    func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient { l.ToleranceDE00 = math.NaN(); return s },
		"must and never": func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient {
			l.MustUse, l.NeverUse = []string{dyes[0].Name}, []string{dyes[0].Name}
			return s
		},
		"not on the shelf": func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient {
			l.MustUse = []string{"Sorrel"}
			return s
		},
		"not learned": func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient {
			l.MustUse = []string{"Sorrel"}
			return append(s, Ingredient{Dye: wax.Dye{Name: "Sorrel", Form: wax.Chip}, StepGPerKg: 1})
		},
		"twice":      func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient { return append(s, s[0]) },
		"no portion": func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient { s[0].StepGPerKg = 0; return s },
		"too fine":   func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient { s[0].StepGPerKg = 1e-9; return s },
		"portion above the maximum": func(s []Ingredient, c *spectrum.Lab, l *Limits) []Ingredient {
			s[0].StepGPerKg, l.MustUse = 7, []string{s[0].Name}
			return s
		},
	} {
		limits, target := fair, spectrum.Lab{L: 70, A: 5, B: 5}
		shelf := change(portioned(t, dyes, 1000), &target, &limits)
		_, _, err := Match(m, shelf, target, limits)
		require.Error(t, err, name)
	}
	_, reach, err := Match(m, append(portioned(t, dyes, 1000), Ingredient{Dye: wax.Dye{Name: "Sorrel", Form: wax.Chip}, StepGPerKg: 1}), spectrum.Lab{L: 70}, fair)
	require.NoError(t, err)
	assert.Equal(t, []string{"Sorrel"}, reach.NotLearned)
}

// Quarter chips, whole drops, hundredths of a gram: common practice, no source.
func TestPortions(t *testing.T) {
	for _, c := range []struct {
		dye  wax.Dye
		name string
		step float64
	}{
		{wax.Dye{Name: "Bracken", Form: wax.Chip, UnitMassG: 2}, "quarter chip", 1},
		{wax.Dye{Name: "Slate", Form: wax.Liquid, UnitMassG: 0.03}, "drop", 0.06},
		{wax.Dye{Name: "Madder", Form: wax.Powder}, "0.01 g", 0.02},
		{wax.Dye{Name: "Tide", Form: wax.Liquid}, "0.01 g", 0.02},
	} {
		in, err := NewIngredient(c.dye, 500)
		require.NoError(t, err)
		assert.Equal(t, c.name, in.Portion.Name())
		assert.InDelta(t, c.step, in.StepGPerKg, 1e-12)
	}
	_, err := NewIngredient(wax.Dye{}, 0)
	assert.Error(t, err)
}

func BenchmarkMatch40Dyes(b *testing.B) {
	m, dyes := shelfOf40(b)
	shelf := portioned(b, dyes, 1000) // quarter chips of 0.25 g/kg, twenty at most
	for name, target := range map[string]spectrum.Lab{
		"dull":        {L: 75, A: 10, B: 20},
		"grey":        {L: 60, A: 1, B: 0},
		"teal":        {L: 50, A: -10, B: -20},
		"blue":        {L: 40, A: 0, B: -40},
		"unreachable": {L: 60, A: 70, B: -50},
		"too dark":    {L: 30, A: 60, B: 50},
	} {
		for _, tolerance := range []float64{0, 1} {
			b.Run(fmt.Sprintf("%s within %g", name, tolerance), func(b *testing.B) {
				for b.Loop() {
					if _, _, err := Match(m, shelf, target, Limits{MaxDyes: 3, ToleranceDE00: tolerance, Answers: 3, View: thick}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
