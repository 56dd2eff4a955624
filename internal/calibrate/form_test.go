package calibrate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/scene/transport"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// paste is set wax with an invented pigment in it, by radiative transfer: per
// g/kg it adds absorption in one band, and scattering.
type paste struct {
	medium               *transport.Medium
	atNM                 float64
	absorbs, scatters    float64
	undyedScatteringAt55 float64
}

func (p paste) lab(dose float64, thick bool) spectrum.Lab {
	card := spectrum.Lab{L: 95.5}.Smooth()
	return spectrum.D65.Lab(spectrum.Sample(func(nm float64) float64 {
		x := (nm - p.atNM) / 50
		l := transport.Layer{
			AbsorptionPerMM: 0.006*math.Exp((550-nm)/120) + dose*p.absorbs*math.Exp(-x*x/2) + 0.002*dose,
			ScatteringPerMM: p.undyedScatteringAt55*math.Pow(550/nm, 0.6) + dose*p.scatters,
			ThicknessMM:     2.7,
		}
		if thick {
			return p.medium.Endless(l.ScatteringPerMM, l.AbsorptionPerMM).Factor(0)
		}
		return p.medium.Film(l).Factor(card[int((nm-spectrum.FirstNM)/spectrum.StepNM+0.5)])
	}))
}

func (p paste) samples(dye string, doses ...float64) []calibrate.Sample {
	var out []calibrate.Sample
	for _, c := range doses {
		s := calibrate.Sample{Card: spectrum.Lab{L: 95.5}, Colour: spectrum.Measured{Lab: p.lab(c, false)}}
		for i := range 3 {
			s.Colour.Cov[i][i] = usualSpreads.reading * usualSpreads.reading
		}
		if c > 0 {
			s.Recipe = wax.Recipe{{Dye: dye, DoseGPerKg: c}}
		}
		out = append(out, s)
	}
	return out
}

// A pigment learned as what it is predicts held-out doses by the two-constant
// theory (Duncan 1940), better than learned as a dye; and its drops, and those
// of a dissolved dye, say what they are when the shelf says otherwise.
func TestPigmentIsToldFromDye(t *testing.T) {
	medium := transport.NewMedium(1.44, 0.7, 10)
	pigment := paste{medium, 600, 0.5, 14, 18}
	dissolved := paste{medium, 600, 0.5, 0, 18}
	doses := []float64{0, 0.1, 0.4, 1.2, 3, 6}
	drops := map[bool][]calibrate.Sample{true: pigment.samples("Woad", doses...), false: dissolved.samples("Woad", doses...)}
	miss := map[wax.Form]float64{}
	for _, scatters := range []bool{true, false} {
		for _, declared := range []wax.Form{wax.Pigment, wax.Powder} {
			m, err := calibrate.Learn(testWax, drops[scatters], calibrate.WithForms(map[string]wax.Form{"Woad": declared}))
			require.NoError(t, err)
			doubts := m.FormDoubts(drops[scatters])
			t.Logf("scatters %v, declared %s: noise %.2f, doubts %+.1v", scatters, declared, m.NoiseDE00, doubts)
			if scatters == declared.Dissolves() {
				if assert.Len(t, doubts, 1, "scatters %v, declared %s", scatters, declared) {
					assert.Equal(t, scatters, doubts[0].Scatters)
				}
			} else {
				assert.Empty(t, doubts, "scatters %v, declared %s", scatters, declared)
			}
			if scatters {
				for _, c := range []float64{0.2, 0.8, 2, 4.5} {
					for _, thick := range []bool{false, true} {
						lab, err := m.Lab(wax.Recipe{{Dye: "Woad", DoseGPerKg: c}}, calibrate.View{Thick: thick, Card: spectrum.Lab{L: 95.5}})
						require.NoError(t, err)
						miss[declared] += spectrum.DE00(lab, pigment.lab(c, thick)) / 8
					}
				}
			}
		}
	}
	t.Logf("mean miss of held-out doses of the pigment: as pigment %.2f dE00, as dye %.2f", miss[wax.Pigment], miss[wax.Powder])
	assert.Less(t, miss[wax.Pigment], 0.5)
	assert.Less(t, miss[wax.Pigment], miss[wax.Powder])
}

func TestMicaSparkleIsSaidAloud(t *testing.T) {
	forms := map[string]wax.Form{"Frost": wax.Mica, "Woad": wax.Pigment}
	recipe := wax.Recipe{{Dye: "Frost", DoseGPerKg: 2}, {Dye: "Woad", DoseGPerKg: 1}}
	assert.Len(t, calibrate.FormCautions(forms, recipe), 1)
	assert.Contains(t, calibrate.FormCautions(forms, recipe)[0], "Frost is a mica")
}
