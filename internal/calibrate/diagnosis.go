package calibrate

import (
	"math"
	"sync"

	"setshade/internal/spectrum"
)

// DropFit tells how one drop fits the model.
type DropFit struct {
	ID        int64        `json:"id"`
	Predicted spectrum.Lab `json:"predicted"`
	// DE00 is the miss of the fit itself.
	DE00 float64 `json:"de00"`
	// LeftOutDE00 is the miss of a fit that never saw this drop; nil until
	// LeaveOneOut has been called.
	LeftOutDE00 *float64 `json:"left_out_de00,omitempty"`
	// Trust is how far the fit believes the drop: about 1 for a good drop,
	// towards 0 for one that cannot be right.
	Trust float64 `json:"trust"`
	// Suspicion is the likely reason, in plain words, when the drop does not
	// fit; empty otherwise.
	Suspicion string `json:"suspicion,omitempty"`
}

// suspectBelow is the trust under which a drop is named: its miss is then more
// than five times what was expected of it in each direction.
const suspectBelow = 0.1

func (d drop) judge(predicted spectrum.Lab) DropFit {
	_, s := d.miss(predicted)
	got := d.colour.Lab
	fit := DropFit{
		ID: d.id, Predicted: predicted, DE00: spectrum.DE00(predicted, got),
		Trust: math.Min(1, trust(s)),
	}
	if fit.Trust < suspectBelow {
		fit.Suspicion = suspicion(predicted, got)
	}
	return fit
}

// suspicion names what usually makes a drop miss in that direction (common
// practice, no source).
func suspicion(predicted, got spectrum.Lab) string {
	lightness := got.L - predicted.L
	sideways := math.Hypot(got.A-predicted.A, got.B-predicted.B)
	hue := math.Abs(got.HueDegrees() - predicted.HueDegrees())
	hue = math.Min(hue, 360-hue)
	switch {
	case sideways > 2*math.Abs(lightness) && hue > 15:
		return "off in hue: another dye in it, or a wrong label"
	case lightness > 0:
		return "too pale for its dose: a wrong label, a thin drop, or glare"
	default:
		return "too dark for its dose: a wrong label, a drop not yet set, or a shadow"
	}
}

// LeaveOneOut fits once more without each set drop in turn, weights as chosen,
// and notes how far the drop then lies from its prediction; liquid drops are
// not what is predicted. The samples are those the model was learned from.
// Progress is called before each fit, if not nil.
func (m *Model) LeaveOneOut(samples []Sample, progress func(done, of int)) {
	whole := newProblem(samples, m.layout, m.media, m.weights()).bent(m.theta)
	var telling sync.Mutex
	begun := 0
	tell := func() {
		telling.Lock()
		defer telling.Unlock()
		if progress != nil {
			progress(begun, len(whole.drops))
		}
		begun++
	}
	eachFit(len(whole.drops), func(i int) {
		tell()
		if samples[i].isLiquid() {
			return
		}
		d := whole.drops[i]
		rest := whole
		rest.drops = append(append([]drop(nil), whole.drops[:i]...), whole.drops[i+1:]...)
		theta := rest.newton(m.theta).theta
		miss := spectrum.DE00(rest.labOf(theta, d), d.colour.Lab)
		m.Drops[i].LeftOutDE00 = &miss
	})
}
