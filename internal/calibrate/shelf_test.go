package calibrate

import (
	"math"
	"math/rand/v2"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// The shelf of these tests is invented and obeys the very model that is
// fitted: it checks the fitting, not the physics. The physics is checked on
// scenes rendered by radiative transfer.

var testWax = wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9}

var testCard = spectrum.Lab{L: 95.5}

// shelf is a model with known unknowns.
func shelf(dyes ...string) *Model {
	m := &Model{Wax: testWax.Name, RefractiveIndex: testWax.RefractiveIndex}
	for _, name := range dyes {
		m.Dyes = append(m.Dyes, DyeRange{Name: name, ReferenceGPerKg: 1, MinGPerKg: 0.2, MaxGPerKg: 4})
	}
	m.layout, m.media = newLayout(m.Dyes, nil, false), mediaOf(testWax.RefractiveIndex)
	m.theta = newPrior(m.layout, 1).mean
	for j := range knots {
		m.theta[j] = -5 - 0.1*float64(j)
	}
	m.theta[logSX], m.theta[logGain], m.theta[bend] = math.Log(10), 0.01, 0.2
	for d := range dyes {
		peak := float64(2 + 3*d%9)
		for j := range knots {
			m.theta[m.layout.dyes[d].at+j] = -1 - 0.25*(float64(j)-peak)*(float64(j)-peak)/2
		}
		m.theta[m.layout.dyes[d].at+exponent] = 0.97
	}
	return m
}

// ladder measures drops of the model with the given error in dE00.
func (m *Model) ladder(dye string, doses []float64, errorDE00 float64, random *rand.Rand) []Sample {
	var out []Sample
	for i, c := range doses {
		recipe := wax.Recipe{{Dye: dye, DoseGPerKg: c}}
		if c == 0 {
			recipe = nil
		}
		out = append(out, m.measure(int64(i+1), recipe, errorDE00, random))
	}
	return out
}

func (m *Model) measure(id int64, recipe wax.Recipe, errorDE00 float64, random *rand.Rand) Sample {
	lab, err := m.Lab(recipe, View{Card: testCard})
	if err != nil {
		panic(err)
	}
	s := errorDE00 / math.Sqrt(3)
	lab.L += s * random.NormFloat64()
	lab.A += s * random.NormFloat64()
	lab.B += s * random.NormFloat64()
	measured := spectrum.Measured{Lab: lab}
	for i := range 3 {
		measured.Cov[i][i] = 0.05 * 0.05
	}
	return Sample{ID: id, Recipe: recipe, Colour: measured, Card: testCard}
}
