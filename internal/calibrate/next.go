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
	Recipe wax.Recipe `json:"recipe"`
	// FallDE00 is how much the uncertainty of what is wanted would fall on
	// average: root mean square dE00, what drops differ by left out.
	FallDE00 float64 `json:"fall_de00"`
	// For is the wanted recipe that the drop tells most of, and ForFallDE00 the
	// fall of its uncertainty.
	For         wax.Recipe `json:"for"`
	ForFallDE00 float64    `json:"for_fall_de00"`
}

// usualReading is the standard error of each coordinate of a reading in Lab that
// a drop not yet made is taken to have.
const usualReading = 0.3

// judgedDrops is how many candidates are judged against everything that is
// wanted: a large shelf has tens of thousands.
const judgedDrops = 500

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
// Of more than 500 candidates only the 500 best are ranked, best by their fall to
// first order, which is at least half of the fall and at most all of it.
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
	trials := make([]trial, len(candidates))
	for i, r := range candidates {
		f, err := m.respond(r, onCard)
		if err != nil {
			return nil, err
		}
		if trials[i], err = m.trial(r, f, onCard); err != nil {
			return nil, err
		}
	}
	if len(trials) > judgedDrops {
		trials = m.promising(trials, wants)
	}
	out := make([]Worth, len(trials))
	for i, t := range trials {
		out[i].Recipe = t.recipe
		carried := m.carried(t.response)
		for k, w := range wants {
			fall := w.fall(carried, t.inverse)
			out[i].FallDE00 += fall / float64(len(wants))
			if fall > out[i].ForFallDE00 {
				out[i].For, out[i].ForFallDE00 = wanted[k], fall
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Worth) int { return cmp.Compare(b.FallDE00, a.FallDE00) })
	return out, nil
}

// want is a colour that is to be known.
type want struct {
	response
	metric matrix3 // of CIEDE2000
	square float64 // squared uncertainty, in dE00
}

func (m *Model) want(f response) want {
	w := want{response: f, metric: matrix3(f.lab.Metric00())}
	w.square = traceOf(w.metric, m.known(f))
	return w
}

// fall is how far the uncertainty of the colour falls, in dE00, by a drop with its
// derivative carried over the covariance, Σ Jᵀ, and its inverse covariance.
func (w want) fall(carried [][3]float64, inverse matrix3) float64 {
	var cross matrix3
	for i, u := range w.index {
		for r, v := range w.jacobian[i] {
			for c := range 3 {
				cross[r][c] += v * carried[u][c]
			}
		}
	}
	var told matrix3
	for r := range 3 {
		half := inverse.times(cross[r])
		for c := range 3 {
			told[r][c] = dot(half, cross[c])
		}
	}
	return math.Sqrt(w.square) - math.Sqrt(max(0, w.square-traceOf(w.metric, told)))
}

// trial is a drop that may be made.
type trial struct {
	recipe wax.Recipe
	response
	inverse matrix3 // of the covariance of its colour
}

func (m *Model) trial(recipe wax.Recipe, f response, view View) (trial, error) {
	noise, known := m.dropSpread(recipe, f, view), m.known(f)
	for r := range 3 {
		noise[r][r] += usualReading * usualReading
		for c := range 3 {
			noise[r][c] += known[r][c]
		}
	}
	var inverse mat.Dense
	if err := inverse.Inverse(dense(noise)); err != nil {
		return trial{}, m.noColour(recipe)
	}
	t := trial{recipe: recipe, response: f}
	for r := range 3 {
		for c := range 3 {
			t.inverse[r][c] = inverse.At(r, c)
		}
	}
	return t, nil
}

// promising are the trials best to first order, √a - √(a - b) ≈ b / 2√a, in the
// order given. With G the sum over the wants of Jᵀ M J / 2√a, that of a trial is
//
//	tr (J Σ Jᵀ + R)⁻¹ J (Σ G Σ) Jᵀ
func (m *Model) promising(trials []trial, wants []want) []trial {
	g := mat.NewDense(m.layout.size, m.layout.size, nil)
	for _, w := range wants {
		if w.square == 0 {
			continue
		}
		for i, a := range w.index {
			weighed := scaled(w.metric.times(w.jacobian[i]), 1/(2*math.Sqrt(w.square)))
			for k, b := range w.index {
				g.Set(a, b, g.At(a, b)+dot(weighed, w.jacobian[k]))
			}
		}
	}
	var half, spread mat.Dense
	half.Mul(m.covariance, g)
	spread.Mul(&half, m.covariance)
	worth := make([]float64, len(trials))
	order := make([]int, len(trials))
	for i, t := range trials {
		order[i], worth[i] = i, traceOf(t.inverse, sandwich(t.response, &spread))
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(worth[b], worth[a]) })
	order = order[:judgedDrops]
	slices.Sort(order)
	best := make([]trial, len(order))
	for i, at := range order {
		best[i] = trials[at]
	}
	return best
}

// known is the covariance of a colour by what is not known of the unknowns, J Σ Jᵀ.
func (m *Model) known(f response) matrix3 { return sandwich(f, m.covariance) }

// sandwich is J S Jᵀ.
func sandwich(f response, s mat.Matrix) (out matrix3) {
	for i, a := range f.index {
		var sum [3]float64
		for k, b := range f.index {
			v := s.At(a, b)
			for c := range sum {
				sum[c] += v * f.jacobian[k][c]
			}
		}
		for r := range 3 {
			for c := range 3 {
				out[r][c] += f.jacobian[i][r] * sum[c]
			}
		}
	}
	return out
}

// carried is Σ Jᵀ, a row for each unknown.
func (m *Model) carried(f response) [][3]float64 {
	out := make([][3]float64, m.layout.size)
	for i, u := range f.index {
		for k := range out {
			v := m.covariance.At(k, u)
			for c := range 3 {
				out[k][c] += v * f.jacobian[i][c]
			}
		}
	}
	return out
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

func dense(m [3][3]float64) *mat.Dense {
	out := mat.NewDense(3, 3, nil)
	for r := range m {
		out.SetRow(r, m[r][:])
	}
	return out
}

// traceOf is the trace of the product of two symmetric matrices.
func traceOf(a, b matrix3) float64 { return dot(a[0], b[0]) + dot(a[1], b[1]) + dot(a[2], b[2]) }

// UncertaintyDE00 is the root mean square dE00 by which a prediction may miss.
func (p Prediction) UncertaintyDE00() float64 {
	return math.Sqrt(max(0, traceOf(p.Lab.Metric00(), p.Cov)))
}
