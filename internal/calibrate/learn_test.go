package calibrate

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func learnedShelf(t testing.TB, errorDE00 float64, names ...string) (truth *Model, learned *Model, samples []Sample) {
	t.Helper()
	random := rand.New(rand.NewPCG(7, 7))
	truth = shelf(names...)
	samples = truth.ladder("", []float64{0}, errorDE00, random)
	for _, n := range names {
		samples = append(samples, truth.ladder(n, []float64{0.25, 0.7, 1.6, 4}, errorDE00, random)...)
	}
	for i := range samples {
		samples[i].ID = int64(i + 1)
	}
	learned, err := Learn(testWax, samples)
	require.NoError(t, err)
	return truth, learned, samples
}

func TestLearnRecoversHeldOutDosesAndMixtures(t *testing.T) {
	truth, learned, _ := learnedShelf(t, 0, "Bracken", "Slate", "Madder")
	require.True(t, learned.Converged)
	view := View{Card: testCard}
	for _, recipe := range []wax.Recipe{
		{{Dye: "Bracken", DoseGPerKg: 0.4}},
		{{Dye: "Slate", DoseGPerKg: 1}},
		{{Dye: "Madder", DoseGPerKg: 2.5}},
		{{Dye: "Bracken", DoseGPerKg: 0.5}, {Dye: "Slate", DoseGPerKg: 0.5}},
		{{Dye: "Bracken", DoseGPerKg: 1}, {Dye: "Madder", DoseGPerKg: 0.5}},
	} {
		want, err := truth.Lab(recipe, view)
		require.NoError(t, err)
		got, err := learned.Predict(recipe, view)
		require.NoError(t, err)
		miss := spectrum.DE00(got.Lab, want)
		t.Logf("%-45s %.2f dE00", recipe, miss)
		assert.Less(t, miss, 1.0, recipe.String())
	}
}

// One drop with the label of another must not wreck the dye: it is named, and
// the held-out dose keeps within what four good drops give.
func TestMislabelledDropIsNamed(t *testing.T) {
	truth, _, samples := learnedShelf(t, 0.1, "Bracken", "Slate")
	wrong := -1
	for i, s := range samples {
		if s.Recipe.Dose("Bracken") == 0.7 {
			samples[i].Colour = samples[i+2].Colour
			wrong = i
		}
	}
	learned, err := Learn(testWax, samples)
	require.NoError(t, err)
	for i, d := range learned.Drops {
		t.Logf("drop %d %-20s trust %.3f miss %.2f %s", d.ID, samples[i].Recipe, d.Trust, d.DE00, d.Suspicion)
		if i == wrong {
			assert.Contains(t, d.Suspicion, "too dark for its dose")
		} else {
			assert.Empty(t, d.Suspicion, "drop %d", d.ID)
		}
	}
	recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}}
	want, err := truth.Lab(recipe, View{Card: testCard})
	require.NoError(t, err)
	got, err := learned.Lab(recipe, View{Card: testCard})
	require.NoError(t, err)
	assert.Less(t, spectrum.DE00(got, want), 1.0)
}

func TestSavedModelPredictsTheSame(t *testing.T) {
	_, learned, _ := learnedShelf(t, 0.1, "Bracken", "Slate")
	data, err := json.Marshal(learned)
	require.NoError(t, err)
	var again Model
	require.NoError(t, json.Unmarshal(data, &again))
	recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}, {Dye: "Slate", DoseGPerKg: 0.3}}
	want, err := learned.Predict(recipe, View{Card: testCard})
	require.NoError(t, err)
	got, err := again.Predict(recipe, View{Card: testCard})
	require.NoError(t, err)
	assert.Equal(t, want, got)
	assert.Equal(t, learned.Drops, again.Drops)

	for name, broken := range map[string]string{
		"cut": string(data[:len(data)/2]), "another version": `{"version": 99}`, "empty": `{"version": 1}`,
	} {
		err := json.Unmarshal([]byte(broken), &again)
		assert.Error(t, err, name)
	}
}

// A model of every kind of unknown at once is saved whole.
func TestSavedModelKeepsItsLayout(t *testing.T) {
	_, _, samples := learnedShelf(t, 0.1, "Bracken", "Slate")
	for i := range samples {
		samples[i].CardID = []string{"a", "b"}[i%2]
	}
	bar, liquid, piece := samples[1], samples[2], samples[3]
	bar.Card = spectrum.Lab{L: 25}
	liquid.State, liquid.CardID = wax.LiquidState, "c"
	piece.Thick = true
	all := append(samples, bar, liquid, piece)
	learned, err := Learn(testWax, all, WithForms(map[string]wax.Form{"Slate": wax.Mica}))
	require.NoError(t, err)
	require.True(t, learned.Converged)
	require.Len(t, learned.Drops, len(all))
	data, err := json.Marshal(learned)
	require.NoError(t, err)
	var again Model
	require.NoError(t, json.Unmarshal(data, &again))
	for _, view := range []View{{Thick: true}, {Card: testCard}, {Card: spectrum.Lab{L: 25}}, {Liquid: true, Card: testCard}} {
		recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}, {Dye: "Slate", DoseGPerKg: 0.3}}
		if view.Liquid {
			recipe = recipe[:1]
		}
		want, err := learned.Predict(recipe, view)
		require.NoError(t, err)
		got, err := again.Predict(recipe, view)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
}

func TestLeaveOneOut(t *testing.T) {
	_, learned, samples := learnedShelf(t, 0.2, "Bracken", "Slate")
	calls := 0
	learned.LeaveOneOut(samples, func(done, of int) { calls++ })
	assert.Equal(t, len(samples), calls)
	for i, d := range learned.Drops {
		require.NotNil(t, d.LeftOutDE00)
		t.Logf("%-20s fit %.2f left out %.2f", samples[i].Recipe, d.DE00, *d.LeftOutDE00)
	}
}

// Where many drops make one step enough, the answer is that of a full fit too.
func TestLeaveOneOutOfManyDrops(t *testing.T) {
	samples := manyDrops(120)
	m, err := Learn(testWax, samples)
	require.NoError(t, err)
	m.LeaveOneOut(samples, nil)
	whole := newProblem(samples, m.layout, m.media, m.weights()).bent(m.theta)
	_, hessian := whole.normal(m.theta)
	require.True(t, hessian.factorize())
	inverse, stepped := hessian.inverse(), 0
	for i := 0; i < len(samples); i += 7 {
		if _, small := whole.without(m.theta, whole.drops[i], inverse); small {
			stepped++
		}
		rest := whole
		rest.drops = slices.Delete(slices.Clone(whole.drops), i, i+1)
		miss := spectrum.DE00(whole.labOf(rest.descend(m.theta).theta, whole.drops[i]), samples[i].Colour.Lab)
		assert.InDelta(t, miss, *m.Drops[i].LeftOutDE00, 0.002, samples[i].Recipe.String())
	}
	assert.Greater(t, stepped, 5, "drops left out by one step")
}

// Following most drops to second order must not show: every drop left out by a full
// fit gives the same miss.
func TestLeaveOneOutIsAFitWithoutTheDrop(t *testing.T) {
	_, m, samples := learnedShelf(t, 0.3, "Bracken", "Slate", "Madder")
	m.LeaveOneOut(samples, nil)
	for i := range samples {
		p := newProblem(slices.Delete(slices.Clone(samples), i, i+1), m.layout, m.media, m.weights())
		left := newProblem(samples[i:i+1], m.layout, m.media, m.weights()).drops[0]
		miss := spectrum.DE00(p.labOf(p.descend(m.theta).theta, left), left.colour.Lab)
		assert.InDelta(t, miss, *m.Drops[i].LeftOutDE00, 0.002, samples[i].Recipe.String())
	}
}

func TestLearnRefuses(t *testing.T) {
	_, err := Learn(testWax, nil)
	assert.ErrorIs(t, err, ErrNothingToLearn)
	_, learned, _ := learnedShelf(t, 0.1, "Bracken")
	_, err = learned.Predict(wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}}, View{Thick: true})
	assert.ErrorIs(t, err, ErrUnknownDye)
}

var sixDyes = []string{"Bracken", "Slate", "Madder", "Sorrel", "Foxglove", "Tide"}

func BenchmarkLearnSixDyes(b *testing.B) { benchmarkLearn(b, sixDyes) }

func BenchmarkLearn40Dyes(b *testing.B) { benchmarkLearn(b, numbered(40)) }

func BenchmarkLearn100Dyes(b *testing.B) { benchmarkLearn(b, numbered(100)) }

func numbered(dyes int) []string {
	names := make([]string, dyes)
	for i := range names {
		names[i] = fmt.Sprintf("Dye %03d", i)
	}
	return names
}

func benchmarkLearn(b *testing.B, names []string) {
	random := rand.New(rand.NewPCG(7, 7))
	truth := shelf(names...)
	samples := truth.ladder("", []float64{0}, 0.2, random)
	for _, n := range names {
		samples = append(samples, truth.ladder(n, []float64{0.25, 0.7, 1.6, 4}, 0.2, random)...)
	}
	for b.Loop() {
		if _, err := Learn(testWax, samples); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPredict(b *testing.B) {
	_, learned, _ := learnedShelf(b, 0.2, "Bracken", "Slate")
	recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}, {Dye: "Slate", DoseGPerKg: 0.3}}
	for b.Loop() {
		if _, err := learned.Predict(recipe, View{Thick: true}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFourHundredDraws(b *testing.B) {
	_, learned, samples := learnedShelf(b, 0.2, "Bracken", "Slate")
	learned.Explore(samples, 60, 1)
	recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}, {Dye: "Slate", DoseGPerKg: 0.3}}
	for b.Loop() {
		if _, err := learned.Draws(recipe, View{Thick: true}, 400, 1); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkExploreSixDyes(b *testing.B) {
	_, learned, samples := learnedShelf(b, 0.2, sixDyes...)
	for b.Loop() {
		learned.Explore(samples, 60, 1)
	}
}
