package rescue

import (
	"math"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
)

// UndyedSpreadG is the standard error, in grams, of the undyed wax that this batch
// needs: what the shade may be off, told as wax. With J the derivative of the colour
// by the grams of undyed wax, everything else kept, M the metric of CIEDE2000 at the
// shade reached and C its covariance, the nearest point to the target moves by
//
//	var x = k C kᵀ,   k = Jᵀ M / (Jᵀ M J)
//
// to first order. It is 0 where no undyed wax is added, and +Inf where more of it
// changes nothing. A recipe that was not learned is an error.
func UndyedSpreadG(m *calibrate.Model, a Answer, view calibrate.View) (float64, error) {
	if a.AddUndyedG == 0 {
		return 0, nil
	}
	stepG := 0.005 * a.After.UndyedG
	var beside [2]spectrum.Lab
	for i, dx := range []float64{-stepG, stepG} {
		lab, err := m.Lab(a.After.Recipe.Scaled(a.After.UndyedG/(a.After.UndyedG+dx)), view)
		if err != nil {
			return 0, err
		}
		beside[i] = lab
	}
	less, more := beside[0].Vector(), beside[1].Vector()
	metric := a.Reached.Lab.Metric00()
	var slope, pull [3]float64
	for r := range slope {
		slope[r] = (more[r] - less[r]) / (2 * stepG)
	}
	stiffness := 0.0
	for r := range pull {
		for c, v := range slope {
			pull[r] += metric[r][c] * v
		}
		stiffness += pull[r] * slope[r]
	}
	variance := 0.0
	for r := range pull {
		for c := range pull {
			variance += pull[r] * a.Reached.Cov[r][c] * pull[c]
		}
	}
	if stiffness == 0 {
		return math.Inf(1), nil
	}
	return math.Sqrt(max(0, variance)) / stiffness, nil
}
