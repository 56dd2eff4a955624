package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sync"

	"setshade/internal/calibrate"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// world is an invented wax with invented dyes whose colours come from radiative
// transfer by adding and doubling, with refraction at the surface, lit at 45°
// and seen from above: physics that knows nothing of the model that is fitted.
type world struct {
	shelf  *scene.Shelf
	card   spectrum.Spectrum
	dropMM map[wax.State]float64
	random *rand.Rand
	spreads
}

// spreads are the errors of a reading: in each coordinate of Lab, and as logs,
// how far drops of one card differ in thickness.
type spreads struct{ reading, drop float64 }

var usualSpreads = spreads{reading: 0.1, drop: 0.02}

// Two waxes, one hiding well and one poorly, with crystals of another shape
// (both invented).
var (
	soy  = sync.OnceValue(func() *scene.Wax { return scene.NewWax(scene.Soy) })
	pale = sync.OnceValue(func() *scene.Wax {
		return scene.NewWax(scene.WaxOptics{
			RefractiveIndex: 1.44, Asymmetry: 0.7, ScatteringPerMM: 18, ScatteringPower: 0.6,
			AbsorptionPerMM: 0.006, CreamNM: 120,
		})
	})
)

// newWorld draws dyes by turns for either wax: those of the scene, with
// shoulders and tails, or of one or two bands 25 to 70 nm wide.
func newWorld(seed uint64, dyes int) world {
	w := world{
		card:   scene.WhiteCard(),
		dropMM: map[wax.State]float64{wax.SetState: 2.7, wax.LiquidState: 2.2},
		random: rand.New(rand.NewPCG(seed, 1)), spreads: usualSpreads,
	}
	if seed%2 == 0 {
		w.shelf = scene.RandomShelf(soy(), seed, dyes)
		for d := range w.shelf.Dyes {
			// Half as strong: the same doses then span pale to deep in either wax.
			w.shelf.Dyes[d].PerMM = w.shelf.Dyes[d].PerMM.Map(func(v float64) float64 { return v / 2 })
		}
	} else {
		w.shelf = &scene.Shelf{Wax: pale()}
		for range dyes {
			w.shelf.Dyes = append(w.shelf.Dyes, w.bandedDye())
		}
	}
	for d := range w.shelf.Dyes {
		w.shelf.Dyes[d].Name = dyeName(d)
	}
	return w
}

func (w world) bandedDye() scene.Dye {
	dye := scene.Dye{PerMM: spectrum.Flat(0.002), LiquidRatio: 0.85 + 0.25*w.random.Float64()}
	for range 1 + w.random.IntN(2) {
		at, width := 400+280*w.random.Float64(), 25+45*w.random.Float64()
		height := 0.3 + w.random.Float64()
		for i := range dye.PerMM {
			x := (spectrum.WavelengthNM(i) - at) / width
			dye.PerMM[i] += height * math.Exp(-x*x/2)
		}
	}
	return dye
}

// where is what a colour is asked of.
type where struct {
	state       wax.State
	thick, bar  bool
	thicknessMM float64 // of the world's usual drop when 0
}

var (
	onCard  = where{state: wax.SetState}
	onBar   = where{state: wax.SetState, bar: true}
	asPiece = where{state: wax.SetState, thick: true}
	asDrip  = where{state: wax.LiquidState}
)

func (w world) under(at where) spectrum.Spectrum {
	if at.bar {
		return spectrum.Flat(0.05) // printed black
	}
	return w.card
}

func (w world) reflectance(doses []float64, at where) spectrum.Spectrum {
	recipe := recipeOf(doses)
	if at.thick {
		return w.shelf.ThickReflectance(recipe)
	}
	if at.thicknessMM == 0 {
		at.thicknessMM = w.dropMM[at.state]
	}
	return w.shelf.Reflectance(recipe, at.state, at.thicknessMM, w.under(at))
}

func (w world) lab(doses []float64, at where) spectrum.Lab {
	return spectrum.D65.Lab(w.reflectance(doses, at))
}

// view is how the model is asked for the same.
func (w world) view(at where) calibrate.View {
	return calibrate.View{
		Thick: at.thick, Liquid: at.state == wax.LiquidState, Card: spectrum.D65.Lab(w.under(at)),
	}
}

// cardSpread is how far cards differ in the thickness of their drops, as a log.
const cardSpread = 0.05

// read measures a drop as a photograph would, with its error.
func (w world) read(doses []float64, at where, cardID string) calibrate.Sample {
	if at.thicknessMM == 0 {
		at.thicknessMM = w.dropMM[at.state]
	}
	at.thicknessMM *= w.thickness(cardID) * math.Exp(w.drop*w.random.NormFloat64())
	v := w.lab(doses, at).Vector()
	var m spectrum.Measured
	for i := range v {
		v[i] += w.reading * w.random.NormFloat64()
		m.Cov[i][i] = w.reading * w.reading
	}
	m.Lab = spectrum.LabOf(v)
	return calibrate.Sample{
		Recipe: recipeOf(doses), Colour: m, State: at.state, Thick: at.thick,
		Card: spectrum.D65.Lab(w.under(at)), CardID: cardID,
	}
}

// thickness is how much thicker than usual the drops of a card are, always the
// same for the same card.
func (w world) thickness(cardID string) float64 {
	sum := uint64(0)
	for _, c := range cardID {
		sum = 31*sum + uint64(c)
	}
	return math.Exp(cardSpread * rand.New(rand.NewPCG(sum, 3)).NormFloat64())
}

// onNextCard is a drop as it comes on a card that is made later: what an interval is
// told of. Its drops are thicker or thinner than usual, as those of any card.
func (w world) onNextCard(doses []float64, at where) where {
	if !at.thick {
		at.thicknessMM = w.dropMM[at.state] * w.thickness("the next, "+recipeOf(doses).String())
	}
	return at
}

// ladders reads one undyed drop and the same doses of every dye.
func (w world) ladders(doses []float64, at where, cardID string) []calibrate.Sample {
	samples := []calibrate.Sample{w.read(make([]float64, len(w.shelf.Dyes)), at, cardID)}
	for d := range w.shelf.Dyes {
		for _, c := range doses {
			samples = append(samples, w.read(w.only(d, c), at, cardID))
		}
	}
	return samples
}

// only is a dose of one dye.
func (w world) only(dye int, dose float64) []float64 {
	doses := make([]float64, len(w.shelf.Dyes))
	doses[dye] = dose
	return doses
}

// both is a dose of each of two dyes.
func (w world) both(d, e int, doseD, doseE float64) []float64 {
	doses := w.only(d, doseD)
	doses[e] = doseE
	return doses
}

// anyDose draws a dose of the range that ladders cover.
func (w world) anyDose() float64 { return 0.1 + 0.5*w.random.Float64() }

func dyeName(d int) string { return fmt.Sprintf("Dye %02d", d) }

func recipeOf(doses []float64) wax.Recipe {
	var parts []wax.Part
	for d, c := range doses {
		if c > 0 {
			parts = append(parts, wax.Part{Dye: dyeName(d), DoseGPerKg: c})
		}
	}
	recipe, err := wax.NewRecipe(parts...)
	if err != nil {
		panic(err)
	}
	return recipe
}
