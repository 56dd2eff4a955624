package workshop

import (
	"math"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/wax"
)

// CurvePoint is the shade that one dose of one dye sets to.
type CurvePoint struct {
	DoseGPerKg float64
	calibrate.Prediction
}

// curvePoints are enough for a smooth line.
const curvePoints = 60

// Curve is what was learned of one dye alone: test drops on usual white card, over
// the doses tested and a twentieth beyond, where Predict's interval holds.
func (l Lesson) Curve(dye calibrate.DyeRange) ([]CurvePoint, error) {
	from, to := dye.MinGPerKg/1.05, math.Min(1.05*dye.MaxGPerKg, wax.MaxDoseGPerKg)
	out := make([]CurvePoint, curvePoints)
	for i := range out {
		dose := from * math.Pow(to/from, float64(i)/(curvePoints-1))
		p, err := l.Model.Predict(wax.Recipe{{Dye: dye.Name, DoseGPerKg: dose}}, calibrate.View{Card: plan.UsualCard})
		if err != nil {
			return nil, err
		}
		out[i] = CurvePoint{dose, p}
	}
	return out, nil
}

// Alone are the set drops of one dye alone: those learned from, and those kept
// back.
func (l Lesson) Alone(dye string) (learned, kept []wax.Swatch) {
	alone := func(s wax.Swatch) bool {
		return s.State == wax.SetState && len(s.Recipe) == 1 && s.Recipe[0].Dye == dye
	}
	for _, s := range l.Drops {
		if alone(s) {
			learned = append(learned, s)
		}
	}
	for _, k := range l.Checks {
		if alone(k.Swatch) {
			kept = append(kept, k.Swatch)
		}
	}
	return learned, kept
}
