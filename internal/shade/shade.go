package shade

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Shade is a colour with its interval.
type Shade struct {
	Recipe wax.Recipe
	Lab    spectrum.Lab
	// Cov is the covariance of (L*, a*, b*).
	Cov [3][3]float64
	// Within95 is the dE00 that the wax will lie within, 95 times in 100.
	Within95 float64
	// Lights is the same wax under other lights, as an eye used to each sees it.
	Lights []UnderLight
	// Untested says in plain words where the recipe leaves what was tested.
	Untested []string
}

// UnderLight is the look of a shade under one light.
type UnderLight struct {
	Light spectrum.Illuminant
	Lab   spectrum.Lab
	// ShiftDE00 is how far it looks from its daylight self.
	ShiftDE00 float64
}

// Range95 returns the 95 % interval of one coordinate of (L*, a*, b*) alone.
func (s Shade) Range95(coordinate int) (from, to float64) {
	v := s.Lab.Vector()[coordinate]
	half := calibrate.Z95 * math.Sqrt(s.Cov[coordinate][coordinate])
	return v - half, v + half
}

// Of predicts the shade of a recipe. A dye that was never learned is an error
// that wraps calibrate.ErrUnknownDye; a dose outside those tested is answered,
// and named in Untested; its Within95 then comes from draws of the posterior, if
// the model was explored, unless the linear form is wider still.
func Of(m *calibrate.Model, recipe wax.Recipe, view calibrate.View) (Shade, error) {
	p, err := m.Predict(recipe, view)
	if err != nil {
		return Shade{}, err
	}
	s := shadeOf(m, recipe, view, p)
	if len(s.Untested) > 0 && m.Explored() {
		colours, err := m.Draws(recipe, view, draws, drawSeed)
		if err != nil {
			return Shade{}, err
		}
		s.Within95 = max(s.Within95, sortedDE00(s.Lab, colours)[draws*95/100])
	}
	return s, nil
}

func shadeOf(m *calibrate.Model, recipe wax.Recipe, view calibrate.View, p calibrate.Prediction) Shade {
	s := Shade{Recipe: recipe, Lab: p.Lab, Cov: p.Cov, Within95: Within95(p.Lab, p.Cov), Untested: untested(m, recipe, view.Liquid)}
	for _, light := range []spectrum.Illuminant{spectrum.D65, spectrum.A, spectrum.LEDB3} {
		look := light.SeenUnder(p.Reflectance)
		s.Lights = append(s.Lights, UnderLight{light, look, spectrum.DE00(look, p.Lab)})
	}
	return s
}

// draws is how many colours stand for the distribution of a shade; with 400
// the 95 % point repeats to a few per cent.
const draws = 400

// drawSeed makes the draws the same every time.
const drawSeed = 1931

// Within95 returns the dE00 from the mean that 95 % of the distribution lies
// within. The draws are the same every time, so the same shade has the same
// interval.
func Within95(mean spectrum.Lab, cov [3][3]float64) float64 {
	return distances(mean, cov, mean)[draws*95/100]
}

// distances are the sorted dE00 from a colour to draws of a distribution.
func distances(mean spectrum.Lab, cov [3][3]float64, from spectrum.Lab) []float64 {
	chol, ok := spectrum.Factored(cov)
	if !ok || !mean.IsPlausible() || !from.IsPlausible() {
		panic("shade: a distance is of colours, and of a covariance that is not negative")
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	random := rand.New(rand.NewPCG(drawSeed, 2))
	colours := make([]spectrum.Lab, draws)
	for i := range colours {
		var z mat.VecDense
		z.MulVec(&lower, mat.NewVecDense(3, []float64{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}))
		colours[i] = spectrum.Lab{L: mean.L + z.AtVec(0), A: mean.A + z.AtVec(1), B: mean.B + z.AtVec(2)}
	}
	return sortedDE00(from, colours)
}

func sortedDE00(from spectrum.Lab, colours []spectrum.Lab) []float64 {
	out := make([]float64, len(colours))
	for i, c := range colours {
		out[i] = spectrum.DE00(from, c)
	}
	slices.Sort(out)
	return out
}

// untested lists where a recipe leaves the doses that were tested in its state. A
// twentieth beyond either end is not worth a word.
func untested(m *calibrate.Model, recipe wax.Recipe, liquid bool) []string {
	const margin = 1.05
	var out []string
	for _, p := range recipe {
		r, _ := m.Range(p.Dye)
		if !liquid && r.Drops > 0 && r.LiquidDrops == r.Drops {
			out = append(out, p.Dye+" was tested in liquid drops alone")
		}
		switch from, to := r.Tested(liquid); {
		case p.DoseGPerKg > to*margin:
			out = append(out, fmt.Sprintf("%s at %.3g g/kg is above the %.3g g/kg tested", p.Dye, p.DoseGPerKg, to))
		case p.DoseGPerKg*margin < from:
			out = append(out, fmt.Sprintf("%s at %.3g g/kg is below the %.3g g/kg tested", p.Dye, p.DoseGPerKg, from))
		}
	}
	return out
}
