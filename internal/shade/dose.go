package shade

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/optimize"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// ErrWhichDyes is returned when doses are asked for without naming the dyes, or
// with more dyes than three numbers can tell apart.
var ErrWhichDyes = errors.New("name the dyes in the wax, one to three of them")

// DosesOf reads the doses in a wax off its set colour: the recipe of the named
// dyes whose shade is nearest in dE00, and how far that stays from the colour.
// A drop has three numbers, so one to three dyes can be told.
//
// The search is Nelder and Mead's simplex (1965, Comput. J. 7:308) over the
// logarithms of the doses, from several starts inside and around the doses
// tested.
func DosesOf(m *calibrate.Model, dyes []string, colour spectrum.Lab, view calibrate.View) (wax.Recipe, float64, error) {
	if len(dyes) < 1 || len(dyes) > 3 {
		return nil, 0, ErrWhichDyes
	}
	if !colour.IsPlausible() {
		return nil, 0, errors.New("the drop has no finite colour")
	}
	recipeOf := func(logDoses []float64) wax.Recipe {
		parts := make([]wax.Part, len(dyes))
		for i, d := range dyes {
			dose := math.Exp(math.Min(math.Max(logDoses[i], math.Log(1e-6)), math.Log(wax.MaxDoseGPerKg)))
			parts[i] = wax.Part{Dye: d, DoseGPerKg: dose}
		}
		recipe, err := wax.NewRecipe(parts...)
		if err != nil {
			return nil
		}
		return recipe
	}
	centre := make([]float64, len(dyes))
	for i, d := range dyes {
		r, ok := m.Range(d)
		if !ok {
			_, err := m.Lab(wax.Recipe{{Dye: d, DoseGPerKg: 1}}, view)
			return nil, 0, err
		}
		centre[i] = math.Log(r.ReferenceGPerKg)
	}
	usual := recipeOf(centre)
	if usual == nil {
		return nil, 0, fmt.Errorf("a dye is named twice; %w", ErrWhichDyes)
	}
	if _, err := m.Lab(usual, view); err != nil {
		return nil, 0, err
	}
	problem := optimize.Problem{Func: func(x []float64) float64 {
		lab, err := m.Lab(recipeOf(x), view)
		if err != nil {
			panic("shade: the model answered the same question before: " + err.Error())
		}
		return spectrum.DE00(lab, colour)
	}}
	best, least := centre, math.Inf(1)
	for _, start := range around(centre) {
		result, err := optimize.Minimize(problem, start, nil, &optimize.NelderMead{})
		if err == nil && result.F < least {
			best, least = result.X, result.F
		}
	}
	if math.IsInf(least, 1) {
		return nil, 0, errors.New("the doses in this drop could not be found; give the batch's recipe instead")
	}
	return recipeOf(best), least, nil
}

// around lists starts: each dye at its reference dose, a fifth and five times.
func around(centre []float64) [][]float64 {
	out := [][]float64{nil}
	for _, c := range centre {
		var next [][]float64
		for _, head := range out {
			for _, off := range []float64{0, -math.Log(5), math.Log(5)} {
				next = append(next, append(append([]float64(nil), head...), c+off))
			}
		}
		out = next
	}
	return out
}
