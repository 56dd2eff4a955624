package calibrate

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// spreadOf is the root of the sum of variances of a prediction, all of whose
// numbers must be finite and whose variances must not be negative.
func spreadOf(t *testing.T, m *Model, recipe wax.Recipe, view View) float64 {
	t.Helper()
	p, err := m.Predict(recipe, view)
	require.NoError(t, err)
	require.True(t, p.Lab.IsFinite(), "%v of %s", p.Lab, recipe)
	for i := range p.Cov {
		require.GreaterOrEqual(t, p.Cov[i][i], 0.0, recipe)
		for _, v := range p.Cov[i] {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%v of %s", p.Cov, recipe)
		}
	}
	return math.Sqrt(p.Cov[0][0] + p.Cov[1][1] + p.Cov[2][2])
}

// allSound predicts at ordinary and at extreme doses, on card and thick.
func allSound(t *testing.T, m *Model) {
	t.Helper()
	for _, view := range []View{{Card: testCard}, {Thick: true}, {Card: spectrum.Lab{}}} {
		spreadOf(t, m, nil, view)
		for _, d := range m.Dyes {
			for _, dose := range []float64{1e-300, 1e-9, 1, wax.MaxDoseGPerKg} {
				spreadOf(t, m, wax.Recipe{{Dye: d.Name, DoseGPerKg: dose}}, view)
			}
		}
	}
}

func one(dye string, dose float64) wax.Recipe { return wax.Recipe{{Dye: dye, DoseGPerKg: dose}} }

func TestOneDropTellsLittle(t *testing.T) {
	_, whole, samples := learnedShelf(t, 0.1, "Bracken")
	m, err := Learn(testWax, samples[2:3])
	require.NoError(t, err)
	allSound(t, m)
	view := View{Card: testCard}
	assert.Greater(t, spreadOf(t, m, one("Bracken", 4), view), 3*spreadOf(t, whole, one("Bracken", 4), view), "one drop leaves wide what five make sure")

	_, err = Learn(testWax, samples[:1])
	assert.ErrorIs(t, err, ErrNothingToLearn, "undyed wax alone")
}

func TestIdenticalDropsAreNoLadder(t *testing.T) {
	_, whole, samples := learnedShelf(t, 0.1, "Bracken")
	same := make([]Sample, 5)
	for i := range same {
		same[i] = samples[2]
		same[i].ID = int64(i + 1)
		same[i].Colour.Cov = [3][3]float64{} // drops that seem to have no error
	}
	m, err := Learn(testWax, same)
	require.NoError(t, err)
	allSound(t, m)
	view := View{Card: testCard}
	assert.Greater(t, spreadOf(t, m, one("Bracken", 8), view), 2*spreadOf(t, whole, one("Bracken", 8), view))
}

// Two dyes of one colour seen only together, half and half: the mixture is sure,
// and how it is shared between them is not.
func TestCollinearDyesAreToldApartByNothing(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	truth := shelf("Bracken", "Double")
	copy(truth.theta[truth.layout.dyes[1].at:], truth.theta[truth.layout.dyes[0].at:truth.layout.dyes[0].at+knots])
	var samples []Sample
	for i, c := range []float64{0, 0.1, 0.25, 0.7, 1.6, 4} {
		recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: c / 2}, {Dye: "Double", DoseGPerKg: c / 2}}
		if c == 0 {
			recipe = nil
		}
		samples = append(samples, truth.measure(int64(i+1), recipe, 0.1, random))
	}
	m, err := Learn(testWax, samples)
	require.NoError(t, err)
	allSound(t, m)
	view := View{Card: testCard}
	together := spreadOf(t, m, wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}, {Dye: "Double", DoseGPerKg: 0.5}}, view)
	for _, d := range m.Dyes {
		assert.Greater(t, spreadOf(t, m, one(d.Name, 1), view), 4*together, d.Name)
	}
}

// Drops with nothing in them that theory allows: black, white, out of gamut, at
// doses from nothing to everything.
func TestExtremeDropsGiveFiniteAnswers(t *testing.T) {
	colours := []spectrum.Lab{{}, {L: 100}, {L: 50, A: 150, B: -150}, {L: 110, A: -1, B: 1}, {L: -5}, {L: 1e-9}}
	for _, card := range []spectrum.Lab{testCard, {}, {L: 100}} {
		var samples []Sample
		for i, c := range colours {
			dose := math.Pow(10, float64(3*i-12))
			samples = append(samples, Sample{ID: int64(i + 1), Recipe: one("Bracken", dose), Colour: spectrum.Measured{Lab: c}, Card: card})
		}
		m, err := Learn(testWax, samples)
		if err != nil {
			continue // refused in words is an answer too
		}
		allSound(t, m)
	}
}

// dyesWanted is how many dyes TestManyDyes learns; 100 for a full run, which
// takes many minutes: the work grows with the cube of the dyes.
const dyesWanted = "SETSHADE_TEST_DYES"

// A shelf of many dyes with one drop each, fitted together with the wax.
func TestManyDyes(t *testing.T) {
	many := 10
	if wanted := os.Getenv(dyesWanted); wanted != "" {
		var err error
		many, err = strconv.Atoi(wanted)
		require.NoError(t, err)
	}
	random := rand.New(rand.NewPCG(5, 6))
	names := make([]string, many)
	for i := range names {
		names[i] = fmt.Sprintf("Dye %03d", i)
	}
	truth := shelf(names...)
	samples := []Sample{truth.measure(1, nil, 0.1, random)}
	for i, n := range names {
		samples = append(samples, truth.measure(int64(i+2), one(n, 1), 0.1, random))
	}
	m, err := Learn(testWax, samples)
	require.NoError(t, err)
	require.Len(t, m.Dyes, len(names))
	view := View{Card: testCard}
	for _, n := range []string{names[0], names[many/2], names[many-1]} {
		spreadOf(t, m, one(n, 1), view)
		assert.Greater(t, spreadOf(t, m, one(n, 4), view), 2.0, "one dose tells little of another")
	}
}

// FuzzSaved reads models as they are kept. One that is accepted answers, or refuses
// with an error: no panic. Its colours need not be finite, since any finite numbers
// are accepted as unknowns; those of a model that was learned are (allSound).
func FuzzSaved(f *testing.F) {
	_, learned, samples := learnedShelf(f, 0.1, "Bracken")
	learned.Explore(samples, 2, 1)
	saved, err := json.Marshal(learned)
	require.NoError(f, err)
	f.Add(saved)
	f.Add([]byte(`{"version":2,"dyes":[{"name":"Bracken"}],"refractive_index":1.44}`))
	f.Add([]byte(`{"version":2}`))
	f.Fuzz(func(t *testing.T, saved []byte) {
		var m Model
		if err := json.Unmarshal(saved, &m); err != nil {
			return
		}
		recipes := []wax.Recipe{nil}
		for _, d := range m.Dyes[:min(3, len(m.Dyes))] {
			recipes = append(recipes, one(d.Name, 1))
		}
		for _, r := range recipes {
			for _, view := range []View{{Card: testCard}, {Thick: true}, {Card: testCard, Liquid: true}} {
				m.Predict(r, view)
			}
		}
	})
}
