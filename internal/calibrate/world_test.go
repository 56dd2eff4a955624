package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"setshade/internal/calibrate"
	"setshade/internal/scene/transport"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// world is an invented wax with invented dyes whose colours come from radiative
// transfer by adding and doubling, with refraction at the surface, lit at 45°
// and seen from above: physics that knows nothing of the model that is fitted.
type world struct {
	medium *transport.Medium
	dyes   []spectrum.Spectrum // absorption per mm at 1 g/kg
	card   spectrum.Lab
	random *rand.Rand
}

// newWorld draws dyes of one or two absorption bands, 25 to 70 nm wide.
func newWorld(seed uint64, dyes int) world {
	w := world{
		medium: transport.NewMedium(1.44, 0.7, 10), card: spectrum.Lab{L: 95.5},
		random: rand.New(rand.NewPCG(seed, 1)),
	}
	for range dyes {
		var absorption spectrum.Spectrum
		for range 1 + w.random.IntN(2) {
			at, width := 400+280*w.random.Float64(), 25+45*w.random.Float64()
			height := 0.3 + w.random.Float64()
			for i := range absorption {
				x := (spectrum.WavelengthNM(i) - at) / width
				absorption[i] += height * math.Exp(-x*x/2)
			}
		}
		w.dyes = append(w.dyes, absorption.Map(func(v float64) float64 { return v + 0.002 }))
	}
	return w
}

// reflectance of a drop 2.7 mm thick on card, or of an endless piece.
func (w world) reflectance(doses []float64, thick bool) spectrum.Spectrum {
	card := w.card.Smooth()
	var out spectrum.Spectrum
	for i := range out {
		nm := spectrum.WavelengthNM(i)
		absorption := 0.004 + 0.01*math.Exp(-(nm-380)/40)
		for d, c := range doses {
			absorption += c * w.dyes[d][i]
		}
		scattering := 18 * math.Pow(550/nm, 0.6)
		if thick {
			out[i] = w.medium.Endless(scattering, absorption).Factor(0)
			continue
		}
		layer := transport.Layer{ScatteringPerMM: scattering, AbsorptionPerMM: absorption, ThicknessMM: 2.7}
		out[i] = w.medium.Film(layer).Factor(card[i])
	}
	return out
}

func (w world) lab(doses []float64, thick bool) spectrum.Lab {
	return spectrum.D65.Lab(w.reflectance(doses, thick))
}

// readingError is the standard error of each coordinate of a reading in Lab.
const readingError = 0.1

// read measures a drop as a photograph would, with its error.
func (w world) read(doses []float64) calibrate.Sample {
	v := w.lab(doses, false).Vector()
	var m spectrum.Measured
	for i := range v {
		v[i] += readingError * w.random.NormFloat64()
		m.Cov[i][i] = readingError * readingError
	}
	m.Lab = spectrum.LabOf(v)
	return calibrate.Sample{Recipe: recipeOf(doses), Colour: m, Card: w.card}
}

// ladders reads one undyed drop and the same doses of every dye.
func (w world) ladders(doses []float64) []calibrate.Sample {
	samples := []calibrate.Sample{w.read(make([]float64, len(w.dyes)))}
	for d := range w.dyes {
		for _, c := range doses {
			samples = append(samples, w.read(w.only(d, c)))
		}
	}
	return samples
}

// only is a dose of one dye.
func (w world) only(dye int, dose float64) []float64 {
	doses := make([]float64, len(w.dyes))
	doses[dye] = dose
	return doses
}

func recipeOf(doses []float64) wax.Recipe {
	var parts []wax.Part
	for d, c := range doses {
		if c > 0 {
			parts = append(parts, wax.Part{Dye: fmt.Sprintf("Dye %02d", d), DoseGPerKg: c})
		}
	}
	recipe, err := wax.NewRecipe(parts...)
	if err != nil {
		panic(err)
	}
	return recipe
}
