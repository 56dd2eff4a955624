package shade

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"setshade/internal/calibrate"
	"setshade/internal/calibrate/shelftest"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// With a covariance that is round in dE00, dE00² / σ² follows chi-square with
// three degrees of freedom, whose 95 % point is 7.815 (NIST/SEMATECH e-Handbook
// of Statistical Methods, table 1.3.6.7.4).
func TestWithin95IsChiSquareForARoundCovariance(t *testing.T) {
	const sigma = 0.2
	for _, lab := range []spectrum.Lab{{L: 60}, {L: 70, A: 30, B: 20}, {L: 40, A: -20, B: -30}} {
		metric := lab.Metric00()
		flat := make([]float64, 0, 9)
		for r := range metric {
			flat = append(flat, metric[r][:]...)
		}
		var inverse mat.Dense
		require.NoError(t, inverse.Inverse(mat.NewDense(3, 3, flat)))
		var cov [3][3]float64
		for r := range 3 {
			for c := range 3 {
				cov[r][c] = sigma * sigma * inverse.At(r, c)
			}
		}
		// 400 draws leave about 4 % of chance in the 95 % point.
		assert.InEpsilon(t, sigma*math.Sqrt(7.815), Within95(lab, cov), 0.08, "%+v", lab)
	}
}

// learned is a shelf of three invented dyes: the tests of this package check what is
// done with a model, not its physics.
func learned(t testing.TB, more ...calibrate.Sample) *calibrate.Model {
	t.Helper()
	dyes := map[string]func(nm float64) float64{
		"Bracken": func(nm float64) float64 { return 0.4 * shelftest.Bump(nm, 450, 50) },
		"Madder":  func(nm float64) float64 { return 0.4 * shelftest.Bump(nm, 530, 40) },
		"Slate":   func(nm float64) float64 { return 0.3 * shelftest.Bump(nm, 610, 60) },
	}
	const white = 0.005
	// bent is K/S over the absorption as set wax has it, see calibrate.
	bent := func(a float64) float64 { return a * math.Pow(a/0.3, 0.065) * math.Pow((1+a)/1.3, 0.185) }
	drops := append([]calibrate.Sample{shelftest.Drop(spectrum.Flat(bent(white)), nil)}, more...)
	for name, absorbs := range dyes {
		for _, dose := range []float64{0.2, 0.6, 1.5, 4} {
			ks := spectrum.Sample(func(nm float64) float64 { return bent(white + dose*absorbs(nm)) })
			drops = append(drops, shelftest.Drop(ks, wax.Recipe{{Dye: name, DoseGPerKg: dose}}))
		}
	}
	return shelftest.Learn(t, drops)
}

func TestUntestedDosesAreSaidAloud(t *testing.T) {
	m := learned(t)
	view := calibrate.View{Thick: true}
	inside, err := Of(m, wax.Recipe{{Dye: "Madder", DoseGPerKg: 1}}, view)
	require.NoError(t, err)
	assert.Empty(t, inside.Untested)
	for dose, says := range map[float64]string{
		8:    "Madder at 8 g/kg is above the 4 g/kg tested",
		0.05: "Madder at 0.05 g/kg is below the 0.2 g/kg tested",
	} {
		s, err := Of(m, wax.Recipe{{Dye: "Madder", DoseGPerKg: dose}}, view)
		require.NoError(t, err)
		assert.Equal(t, []string{says}, s.Untested)
	}
	far, err := Of(m, wax.Recipe{{Dye: "Madder", DoseGPerKg: 40}}, view)
	require.NoError(t, err)
	assert.Greater(t, far.Within95, inside.Within95, "the interval widens beyond what was tested")
}

// A paler liquid drop tests no paler set shade, and no other way round.
func TestTestedDosesAreThoseOfTheState(t *testing.T) {
	m := learned(t, liquidSample(101, 0.05), liquidSample(102, 1))
	dyed := func(dose float64, liquid bool) []string {
		s, err := Of(m, wax.Recipe{{Dye: "Madder", DoseGPerKg: dose}}, calibrate.View{Card: shelftest.Card, Liquid: liquid})
		require.NoError(t, err)
		return s.Untested
	}
	assert.Equal(t, []string{"Madder at 0.1 g/kg is below the 0.2 g/kg tested"}, dyed(0.1, false))
	assert.Empty(t, dyed(0.1, true))
	assert.Empty(t, dyed(3, false))
	assert.Equal(t, []string{"Madder at 3 g/kg is above the 1 g/kg tested"}, dyed(3, true))
}

// A spectrum that reflects alike everywhere shows no shift between lights.
func TestLightsShiftSaturatedShadesOnly(t *testing.T) {
	m := learned(t)
	strong, err := Of(m, wax.Recipe{{Dye: "Madder", DoseGPerKg: 3}}, calibrate.View{Thick: true})
	require.NoError(t, err)
	require.Len(t, strong.Lights, 3)
	assert.InDelta(t, 0, strong.Lights[0].ShiftDE00, 1e-3, "daylight is the reference")
	assert.Greater(t, strong.Lights[1].ShiftDE00, 1.0, "a purple-red shifts under a warm lamp")
	undyed, err := Of(m, nil, calibrate.View{Thick: true})
	require.NoError(t, err)
	assert.Less(t, undyed.Lights[1].ShiftDE00, 0.3)
}

func TestDosesOfReadsARecipeOffADrop(t *testing.T) {
	m := learned(t)
	view := calibrate.View{Card: shelftest.Card}
	for _, want := range []wax.Recipe{
		{{Dye: "Madder", DoseGPerKg: 0.9}},
		{{Dye: "Bracken", DoseGPerKg: 2.2}, {Dye: "Slate", DoseGPerKg: 0.3}},
		{{Dye: "Bracken", DoseGPerKg: 0.5}, {Dye: "Madder", DoseGPerKg: 1.1}, {Dye: "Slate", DoseGPerKg: 0.7}},
	} {
		lab, err := m.Lab(want, view)
		require.NoError(t, err)
		var names []string
		for _, p := range want {
			names = append(names, p.Dye)
		}
		got, miss, err := DosesOf(m, names, lab, view)
		require.NoError(t, err)
		assert.Less(t, miss, 0.01, want.String())
		for _, p := range want {
			assert.InEpsilon(t, p.DoseGPerKg, got.Dose(p.Dye), 0.02, "%s in %s", p.Dye, want)
		}
	}
}

func TestDosesOfRefuses(t *testing.T) {
	m := learned(t)
	view := calibrate.View{Thick: true}
	grey := spectrum.Lab{L: 50}
	for name, dyes := range map[string][]string{
		"none": {}, "four": {"Bracken", "Madder", "Slate", "Sorrel"}, "twice": {"Bracken", "Bracken"}, "unknown": {"Sorrel"},
	} {
		_, _, err := DosesOf(m, dyes, grey, view)
		assert.Error(t, err, name)
	}
	_, _, err := DosesOf(m, []string{"Madder"}, spectrum.Lab{L: math.NaN()}, view)
	assert.Error(t, err)
}

func BenchmarkOf(b *testing.B) {
	m := learned(b)
	recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}, {Dye: "Slate", DoseGPerKg: 0.3}}
	for b.Loop() {
		if _, err := Of(m, recipe, calibrate.View{Thick: true}); err != nil {
			b.Fatal(err)
		}
	}
}
