package calibrate

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"

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

// One step of Newton's is the whole fit without a drop where the drop's prediction bends
// away from its derivative over the step by less than straight, in dE00, and where its own
// share in what is known, of the three numbers that it is, is below smallShare.
const straight, smallShare = 0.001, 1

// LeaveOneOut fits once more without each set drop in turn, weights as chosen,
// and notes how far the drop then lies from its prediction; liquid drops are
// not what is predicted. The samples are those the model was learned from.
// Progress is called before each fit, if not nil.
//
// Leaving out a drop of gradient g and Hessian U, over the unknowns E that it touches,
// moves the optimum of a fit with the inverse Hessian Σ by Newton's step
//
//	Σ E (1 - U Eᵀ Σ E)⁻¹ g
//
// (Pregibon 1981, "Logistic regression diagnostics", Ann. Statist. 9:705, has it for
// one number a case), and tr U Eᵀ Σ E is the drop's share in what is
// known. Where the step is not the answer, the fit is descended.
func (m *Model) LeaveOneOut(samples []Sample, progress func(done, of int)) {
	whole := newProblem(samples, m.layout, m.media, m.weights()).bent(m.theta)
	_, hessian := whole.normal(m.theta)
	var inverse *mat.SymDense // nil where bows leave none
	if hessian.factorize() {
		inverse = hessian.inverse()
	}
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
		theta, small := whole.without(m.theta, d, inverse)
		if !small {
			rest := whole
			rest.drops = slices.Delete(slices.Clone(whole.drops), i, i+1)
			if rest.cost(theta) > rest.cost(m.theta) {
				theta = m.theta
			}
			theta = rest.newton(theta).theta
		}
		miss := spectrum.DE00(whole.labOf(theta, d), d.colour.Lab)
		m.Drops[i].LeftOutDE00 = &miss
	})
}

// without takes the step of LeaveOneOut, and reports whether it is the answer.
func (p problem) without(theta []float64, d drop, inverse *mat.SymDense) (moved []float64, small bool) {
	if inverse == nil {
		return theta, false
	}
	index, pull, white, t := p.pull(theta, d)
	n := len(index)
	own, touched, left := mat.NewSymDense(n, nil), mat.NewDense(n, n, nil), mat.NewDense(n, n, nil)
	at := 0
	for i := range n {
		for k := range n {
			touched.Set(i, k, inverse.At(index[i], index[k]))
		}
		for k := range i + 1 {
			own.SetSym(i, k, t*dot(white[i], white[k])+d.beyond[at])
			at++
		}
	}
	left.Mul(own, touched)
	share := mat.Trace(left)
	left.Scale(-1, left)
	for i := range n {
		left.Set(i, i, 1+left.At(i, i))
	}
	var step mat.VecDense
	if step.SolveVec(left, mat.NewVecDense(n, pull)) != nil {
		return theta, false
	}
	moved = slices.Clone(theta)
	for u := range moved {
		for i, k := range index {
			moved[u] += inverse.At(u, k) * step.AtVec(i)
		}
	}
	f := p.respond(p.film(theta, d.piece, p.media))
	ahead := f.lab.Vector()
	for i, u := range index {
		for c, slope := range f.jacobian[i] {
			ahead[c] += slope * (moved[u] - theta[u])
		}
	}
	return moved, share < smallShare && spectrum.DE00(p.labOf(moved, d), spectrum.LabOf(ahead)) < straight
}
