package calibrate

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/wax"
)

// Worth is what a drop not yet made would tell.
type Worth struct {
	Recipe wax.Recipe
	// FallDE00 is how much the uncertainty of what is wanted would fall on
	// average: root mean square dE00, what drops differ by left out.
	FallDE00 float64
}

// usualReading is the standard error of each coordinate of a reading in Lab that
// a drop not yet made is taken to have.
const usualReading = 0.3

// NextDrops ranks drops worth making by what they would tell of the wanted
// recipes, as thick pieces; the best comes first. The drops are set, on the card
// of the view.
//
// A drop with derivative J and error R turns the covariance Σ of the unknowns
// into Σ - Σ Jᵀ (J Σ Jᵀ + R)⁻¹ J Σ, whatever its colour will be; so the fall is
// known before it is made. This is A-optimal Bayesian design on the linear
// model, weighed by the metric of CIEDE2000 (Chaloner and Verdinelli 1995,
// "Bayesian experimental design: a review", Statist. Sci. 10:273, section 2).
//
// Recipes with dyes that have not been learned are errors that wrap
// ErrUnknownDye. Of equal candidates the earlier comes first.
func (m *Model) NextDrops(wanted, candidates []wax.Recipe, onCard View) ([]Worth, error) {
	wants := make([]want, len(wanted))
	for i, r := range wanted {
		f, err := m.respond(r, View{Thick: true})
		if err != nil {
			return nil, err
		}
		wants[i] = m.want(f)
	}
	out := make([]Worth, len(candidates))
	for i, r := range candidates {
		f, err := m.respond(r, onCard)
		if err != nil {
			return nil, err
		}
		noise := m.dropSpread(r, f, onCard)
		for k := range noise {
			noise[k][k] += usualReading * usualReading
		}
		drop := m.want(f)
		var s, inverse mat.Dense
		s.Add(&drop.spread, dense(noise))
		if err := inverse.Inverse(&s); err != nil {
			return nil, m.noColour(r)
		}
		out[i].Recipe = r
		for _, w := range wants {
			out[i].FallDE00 += w.fall(drop.jacobian, &inverse) / float64(len(wants))
		}
	}
	slices.SortStableFunc(out, func(a, b Worth) int { return cmp.Compare(b.FallDE00, a.FallDE00) })
	return out, nil
}

// want is a colour that is to be known.
type want struct {
	jacobian *mat.Dense // J
	metric   *mat.Dense // of CIEDE2000
	carried  mat.Dense  // J Σ
	spread   mat.Dense  // J Σ Jᵀ
}

func (m *Model) want(f response) want {
	w := want{jacobian: m.jacobianOf(f), metric: dense(f.lab.Metric00())}
	w.carried.Mul(w.jacobian, m.covariance)
	w.spread.Mul(&w.carried, w.jacobian.T())
	return w
}

// fall is how far the uncertainty of the colour falls by a drop of the given
// derivative and inverse covariance, in dE00.
func (w want) fall(jacobian, inverse *mat.Dense) float64 {
	var cross, told, left mat.Dense
	cross.Mul(&w.carried, jacobian.T())
	told.Product(&cross, inverse, cross.T())
	left.Sub(&w.spread, &told)
	return rootTrace(w.metric, &w.spread) - rootTrace(w.metric, &left)
}

// Everything lists what may be wanted of a shelf when nothing is said: every dye
// from its lowest to its highest dose tested, and every two dyes together.
func (m *Model) Everything() []wax.Recipe {
	var out []wax.Recipe
	for d, dye := range m.Dyes {
		for _, dose := range []float64{dye.MinGPerKg, dye.ReferenceGPerKg, dye.MaxGPerKg} {
			out = append(out, wax.Recipe{{Dye: dye.Name, DoseGPerKg: dose}})
		}
		for _, other := range m.Dyes[:d] {
			out = append(out, wax.Recipe{
				{Dye: other.Name, DoseGPerKg: other.ReferenceGPerKg}, {Dye: dye.Name, DoseGPerKg: dye.ReferenceGPerKg},
			})
		}
	}
	return out
}

// jacobianOf is the derivative of a colour by all unknowns.
func (m *Model) jacobianOf(f response) *mat.Dense {
	j := mat.NewDense(3, m.layout.size, nil)
	for i, unknown := range f.index {
		for r, v := range f.jacobian[i] {
			j.Set(r, unknown, v)
		}
	}
	return j
}

func dense(m [3][3]float64) *mat.Dense {
	out := mat.NewDense(3, 3, nil)
	for r := range m {
		out.SetRow(r, m[r][:])
	}
	return out
}

// rootTrace is the root mean square dE00 of a covariance in Lab.
func rootTrace(metric, cov mat.Matrix) float64 {
	var product mat.Dense
	product.Mul(metric, cov)
	return math.Sqrt(math.Max(0, mat.Trace(&product)))
}

// UncertaintyDE00 is the root mean square dE00 by which a prediction may miss.
func (p Prediction) UncertaintyDE00() float64 {
	return rootTrace(dense(p.Lab.Metric00()), dense(p.Cov))
}
