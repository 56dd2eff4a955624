package calibrate

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

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
	saved, err := json.Marshal(m)
	require.NoError(t, err)
	_, err = ReadModel(saved)
	require.NoError(t, err, "what was learned can be kept")
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

// A shelf of a hundred dyes with one drop each, fitted together with the wax: what
// one drop tells of its own dose is worth no less on a large shelf, and it tells as
// little of another dose.
func TestManyDyes(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	names := numbered(100)
	truth := shelf(names...)
	samples := []Sample{truth.measure(1, nil, 0.1, random)}
	for i, n := range names {
		samples = append(samples, truth.measure(int64(i+2), one(n, 1), 0.1, random))
	}
	m, err := Learn(testWax, samples)
	require.NoError(t, err)
	require.Len(t, m.Dyes, len(names))
	assert.True(t, m.Converged)
	view := View{Card: testCard}
	// The 95 % point of chi-square with three degrees of freedom (NIST/SEMATECH
	// e-Handbook of Statistical Methods, table 1.3.6.7.4).
	const chiSquare95 = 7.815
	inside := 0
	for _, n := range names {
		assert.Greater(t, spreadOf(t, m, one(n, 4), view), 3*spreadOf(t, m, one(n, 1), view), "%s: one dose tells little of another", n)
		p, err := m.Predict(one(n, 1), view)
		require.NoError(t, err)
		lab, err := truth.Lab(one(n, 1), view)
		require.NoError(t, err)
		off, at := lab.Vector(), p.Lab.Vector()
		for c := range off {
			off[c] -= at[c]
		}
		var chol mat.Cholesky
		require.True(t, chol.Factorize(spectrum.Symmetric(p.Cov)))
		var solved mat.VecDense
		require.NoError(t, chol.SolveVecTo(&solved, mat.NewVecDense(3, off[:])))
		if dot(off, [3]float64(solved.RawVector().Data)) < chiSquare95 {
			inside++
		}
	}
	assert.GreaterOrEqual(t, inside, 95, "of 100 shades seen, inside their interval")
}

// savable is an invented shelf with all that a model is saved with.
func savable(names ...string) *Model {
	m := shelf(names...)
	m.Smoothness, m.NoiseDE00 = 1, 0.1
	m.covariance = mat.NewSymDense(m.layout.size, nil)
	for i := range m.layout.size {
		m.covariance.SetSym(i, i, 0.01)
	}
	return m
}

// Whatever unknowns a saved model may have, it answers finitely: they are drawn from
// all that is accepted, and from its edges.
func TestAcceptedModelsAnswerFinitely(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	for range 60 {
		m := savable("Bracken", "Slate")
		for i := range m.theta {
			m.theta[i] = farLevel * edge(random)
			if v := math.Exp(10 * random.NormFloat64()); v < farVariance {
				m.covariance.SetSym(i, i, v)
			}
		}
		m.theta[logGain], m.theta[hidingSlope] = farGain*edge(random), farSlope*edge(random)
		m.theta[bend] = farPower * edge(random)
		for _, i := range []int{m.layout.dyes[0].at + exponent, m.layout.dyes[1].at + exponent} {
			m.theta[i] = farPower * max(1e-12, math.Abs(edge(random)))
		}
		m.ensemble = [][]float64{m.theta, m.theta}
		saved, err := json.Marshal(m)
		require.NoError(t, err)
		read, err := ReadModel(saved)
		require.NoError(t, err)
		answersAreFinite(t, read)
	}
}

// edge draws from -1..1, the ends more often than not.
func edge(random *rand.Rand) float64 { return max(-1, min(1, 4*random.Float64()-2)) }

// More of a dissolved dye is never lighter in any model, on any card, liquid or set:
// random curves, bends and exponents, doses from traces to beyond what is allowed.
func TestMoreDyeIsNeverLighterInAnyModel(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	doses := []float64{1e-12, 1e-6, 0.01, 0.3, 1, 5, 40, 1000, 1e6}
	for range 40 {
		m := savable("Bracken", "Slate")
		for i := range m.theta {
			m.theta[i] += random.NormFloat64()
		}
		m.theta[bend] = 1.5 * random.Float64()
		for _, d := range m.layout.dyes {
			m.theta[d.at+exponent] = 0.3 + 1.5*random.Float64()
		}
		for _, view := range []View{{Card: testCard}, {Thick: true}, {Card: spectrum.Lab{L: 20}}} {
			for _, other := range []wax.Recipe{nil, one("Slate", 0.5)} {
				undyed, err := m.Lab(other, view)
				require.NoError(t, err)
				last := undyed.L
				for _, dose := range doses {
					lab, err := m.Lab(append(wax.Recipe{{Dye: "Bracken", DoseGPerKg: dose}}, other...), view)
					require.NoError(t, err)
					require.LessOrEqual(t, lab.L, last+1e-9, "%g g/kg", dose)
					last = lab.L
				}
			}
		}
	}
}

func TestReadModelRefusesWhatNoDropsLeadTo(t *testing.T) {
	for name, spoil := range map[string]func(m *Model){
		"unknown":             func(m *Model) { m.theta[0] = 1e9 },
		"exponent":            func(m *Model) { m.theta[m.layout.dyes[0].at+exponent] = -1 },
		"bend":                func(m *Model) { m.theta[bend] = 4 },
		"draw":                func(m *Model) { m.ensemble = [][]float64{make([]float64, len(m.theta))} },
		"negative variance":   func(m *Model) { m.covariance.SetSym(0, 0, -1) },
		"covariance":          func(m *Model) { m.covariance.SetSym(0, 1, 1e6) },
		"no noise":            func(m *Model) { m.NoiseDE00 = 0 },
		"card":                func(m *Model) { m.usualCard.L = 1e300 },
		"dose":                func(m *Model) { m.Dyes[0].ReferenceGPerKg = 0 },
		"doses the wrong way": func(m *Model) { m.Dyes[0].MinGPerKg = 999 },
		"name twice":          func(m *Model) { m.Dyes[1].Name = "Bracken" },
	} {
		m := savable("Bracken", "Slate")
		saved, err := json.Marshal(m)
		require.NoError(t, err)
		_, err = ReadModel(saved)
		require.NoError(t, err, "as it was")
		spoil(m)
		assert.Error(t, m.sound(), name)
		_, err = json.Marshal(m)
		assert.ErrorContains(t, err, "cannot be kept", name)
	}
	saved, err := json.Marshal(savable("Bracken"))
	require.NoError(t, err)
	for _, swap := range [][2]string{{"", "torn"}, {`"noise_de00":0.1`, `"noise_de00":0`}, {`"drops":0`, `"drops":0,"lot_of":"Bracken"`}} {
		spoilt := strings.Replace(string(saved), swap[0], swap[1], 1)
		require.NotEqual(t, string(saved), spoilt)
		_, err := ReadModel([]byte(spoilt))
		assert.ErrorIs(t, err, ErrSavedModel, swap)
	}
}

// A wax whose scattering goes, its absorption held, nears the law of Beer and
// Lambert over the card, R = Rg exp(-2 KX) (the limit of Kubelka 1948 at S = 0),
// and a thick piece of it black.
func TestWaxThatDoesNotScatterIsClear(t *testing.T) {
	m := savable("Bracken")
	m.theta[bend], m.theta[hidingSlope], m.theta[logGain] = -farPower, 0, 0
	bent := paleBend * math.Log((1+pivot)/pivot) // of log K/S over log A where A is large
	const kx = 0.4
	backing := backingOf(testCard)
	beer := spectrum.D65.Lab(backing.Map(func(r float64) float64 { return m.media.surface.Outside(r * math.Exp(-2*kx)) }))
	for _, scattering := range []float64{1e-3, 1e-9, 1e-30, 1e-43} { // S·X
		m.theta[logSX] = math.Log(scattering)
		for j := range knots {
			m.theta[j] = math.Log(kx/scattering) - bent
		}
		lab, err := m.Lab(nil, View{Card: testCard})
		require.NoError(t, err)
		assert.InDelta(t, 0, spectrum.DE00(beer, lab), 100*scattering+1e-6, scattering)
		spreadOf(t, m, nil, View{Card: testCard})
		assert.Positive(t, spreadOf(t, m, one("Bracken", 1), View{Card: testCard}))
	}
	thick, err := m.Lab(nil, View{Thick: true})
	require.NoError(t, err)
	assert.InDelta(t, 0, thick.L, 1e-6)
	m.theta[logSX] = -1e6 // beyond any number, nothing is left of the film
	lab, err := m.Lab(nil, View{Card: testCard})
	require.NoError(t, err)
	assert.True(t, lab.IsFinite())
}

// What cannot be asked is refused, in words or in our name; nothing that is not
// finite comes back.
func TestNumbersThatCannotBeAsked(t *testing.T) {
	_, m, samples := learnedShelf(t, 0.1, "Bracken")
	nan, inf := math.NaN(), math.Inf(1)
	view := View{Card: testCard}
	for _, dose := range []float64{nan, inf, -inf, -1, 0} {
		_, err := m.Predict(one("Bracken", dose), view)
		assert.Error(t, err, dose)
		_, err = m.Lab(one("Bracken", dose), view)
		assert.Error(t, err, dose)
		_, err = m.Planned(one("Bracken", dose), 0.1)
		assert.Error(t, err, dose)
		_, err = m.NextDrops([]wax.Recipe{one("Bracken", 1)}, []wax.Recipe{one("Bracken", dose)}, view)
		assert.Error(t, err, dose)
		_, err = m.Sight(Drip{Recipe: one("Bracken", dose), DoseSpread: 0.1, View: view, Colour: spectrum.Measured{Lab: spectrum.Lab{L: 50}}})
		assert.Error(t, err, dose)
	}
	for _, v := range []float64{nan, inf, -inf, 1e300} {
		card := View{Card: spectrum.Lab{L: v}}
		_, err := m.Predict(nil, card)
		assert.Error(t, err, v)
		drip := Drip{Recipe: one("Bracken", 1), DoseSpread: 0.1, View: view, Colour: spectrum.Measured{Lab: spectrum.Lab{L: v}}}
		_, err = m.Sight(drip)
		assert.Error(t, err, v)
		_, err = m.Lot(drip)
		assert.Error(t, err, v)
		drip.Colour = spectrum.Measured{Cov: [3][3]float64{{v}}}
		_, err = m.Sight(drip)
		assert.Error(t, err, v)
		for _, spoil := range []func(*Sample){
			func(s *Sample) { s.Colour.Lab.A = v },
			func(s *Sample) { s.Card.B = v },
			func(s *Sample) { s.Colour.Cov[1][1] = v },
		} {
			spoiled := append([]Sample(nil), samples...)
			spoil(&spoiled[1])
			_, err = Learn(testWax, spoiled)
			assert.ErrorContains(t, err, "cannot learn: ", v)
		}
	}
	// Each variance can be, the matrix cannot.
	samples[1].Colour.Cov = [3][3]float64{{1, 5, 0}, {5, 1, 0}, {0, 0, 1}}
	_, err := Learn(testWax, samples)
	assert.ErrorContains(t, err, "cannot be")
	for _, spread := range []float64{nan, inf, 0, -1} {
		assert.PanicsWithValue(t, "calibrate: doses have a spread above 0", func() { m.Planned(one("Bracken", 1), spread) })
	}
}

// FuzzSaved reads models as they are kept. One that is accepted answers with finite
// numbers, whatever is asked of it, or refuses with an error.
func FuzzSaved(f *testing.F) {
	_, learned, samples := learnedShelf(f, 0.1, "Bracken")
	learned.Explore(samples, 2, 1)
	saved, err := json.Marshal(learned)
	require.NoError(f, err)
	f.Add(saved)
	f.Add([]byte(`{"version":2,"dyes":[{"name":"Bracken"}],"refractive_index":1.44}`))
	f.Add([]byte(`{"version":2}`))
	f.Fuzz(func(t *testing.T, saved []byte) {
		m, err := ReadModel(saved)
		if err != nil {
			require.ErrorIs(t, err, ErrSavedModel)
			return
		}
		m.Dyes = m.Dyes[:min(3, len(m.Dyes))]
		answersAreFinite(t, m)
	})
}

// answersAreFinite asks a model for everything it tells of, at ordinary and extreme
// doses: each answer is an error or finite.
func answersAreFinite(t *testing.T, m *Model) {
	t.Helper()
	views := []View{{Card: testCard}, {Thick: true}, {Card: testCard, Liquid: true}}
	recipes := []wax.Recipe{nil}
	for _, d := range m.Dyes {
		for _, dose := range []float64{1e-300, 1e-12, 1, 1e6} {
			recipes = append(recipes, one(d.Name, dose))
		}
	}
	finiteLab := func(lab spectrum.Lab) { require.True(t, lab.IsFinite(), "%v", lab) }
	for _, view := range views {
		for _, r := range recipes {
			if p, err := m.Predict(r, view); err == nil {
				require.True(t, p.sound(), "%v of %s", p, r)
				require.False(t, math.IsNaN(p.UncertaintyDE00()))
			}
			if lab, err := m.Lab(r, view); err == nil {
				finiteLab(lab)
			}
			if m.Explored() {
				draws, _ := m.Draws(r, view, 4, 1)
				for _, lab := range draws {
					finiteLab(lab)
				}
			}
			drip := Drip{Recipe: r, DoseSpread: 0.1, View: view, Colour: spectrum.Measured{Lab: spectrum.Lab{L: 60, A: 10, B: 5}}}
			if pot, err := m.Sight(drip); err == nil && len(r) > 0 {
				require.False(t, math.IsNaN(pot.LogEvidence+pot.ExplainedDE00+pot.DoseSpread[0]+pot.Recipe[0].DoseGPerKg), "%+v", pot)
				if p, err := pot.Predict(view); err == nil {
					require.True(t, p.sound(), "%v of %s", p, r)
				}
			}
		}
		if palette, err := m.Palette(view); err == nil && !view.Liquid {
			for _, d := range m.Dyes {
				if c, ok := palette.Colourant(d.Name); ok {
					at := palette.Undyed()
					lab, slopes := palette.LabWithSlopes(&at, []Colourant{c})
					finiteLab(lab)
					finiteLab(spectrum.LabOf(slopes[0]))
				}
			}
		}
	}
	worth, _ := m.NextDrops(m.Everything(), recipes, views[0])
	for _, w := range worth {
		require.False(t, math.IsNaN(w.FallDE00) || math.IsInf(w.FallDE00, 0), "%v", w)
	}
}
