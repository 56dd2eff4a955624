package photo

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

// Correction says how the camera's colours were set right.
type Correction struct {
	// Kind is what they were set right by.
	Kind CorrectionKind
	// Model is the form chosen, in plain words.
	Model string
	// Patches is how many patches were used.
	Patches int
	// MedianDE00 and WorstDE00 are what the fit leaves at the patches;
	// HeldOutDE00 is the median at patches held out of the fit.
	MedianDE00, WorstDE00, HeldOutDE00 float64
	// MixedDE00 is how far, as a root mean square, the mixing of channels moves
	// the patches, tones apart; 0 of a form without.
	MixedDE00 float64
}

// CorrectionKind says what the colours of a photograph are relative to.
type CorrectionKind string

// The kinds of correction.
const (
	// ByWhite: only to the white of the card; the camera is taken at its word for
	// everything else.
	ByWhite CorrectionKind = "card white"
	// ByAnchor: to another photograph of the same printed card.
	ByAnchor CorrectionKind = "first photograph"
	// ByReference: to the strip's colours as an instrument measured them.
	ByReference CorrectionKind = "measured strip"
	// ByChart: to the published colours of a chart of 24 patches.
	ByChart CorrectionKind = "24-patch chart"
)

// colourSample is a patch with a known colour.
type colourSample struct {
	light  [channels]float64 // linear light of the picture
	white  [channels]float64 // of card white at its place, before any correction
	target [channels]float64 // linear sRGB
	at     plane.Point       // -1..1 across the samples
	// metric turns a difference of linear sRGB from the target into one whose
	// length is about its dE00.
	metric [3][channels]float64
	// doubt is the standard deviation, in dE00, of what was read.
	doubt float64
}

// leastDoubt is that of a patch without rounding: print and light are not known
// better.
const leastDoubt = 0.3

func newColourSample(light, white [channels]float64, target spectrum.Lab, at plane.Point) colourSample {
	s := colourSample{light: light, white: white, target: linearOf(target), at: at, doubt: leastDoubt}
	// The root of the metric by Cholesky; its Jacobian by differences.
	var factor mat.Cholesky
	if !factor.Factorize(spectrum.Symmetric(target.Metric00())) {
		panic("photo: the metric of dE00 is positive definite")
	}
	var root mat.TriDense
	factor.UTo(&root)
	const h = 1e-5
	for c := range channels {
		up, down := s.target, s.target
		up[c] += h
		down[c] -= h
		u, d := spectrum.LabOfLinear(up[0], up[1], up[2]).Vector(), spectrum.LabOfLinear(down[0], down[1], down[2]).Vector()
		for i := range 3 {
			for k := i; k < 3; k++ {
				s.metric[i][c] += root.At(i, k) * (u[k] - d[k]) / (2 * h)
			}
		}
	}
	return s
}

// rounded widens the doubt by the rounding of the file's code.
func (s colourSample) rounded(k picture.Code) colourSample {
	cov := k.ErrorAt(s.light, nil)
	sum := s.doubt * s.doubt
	for _, row := range s.metric {
		for a := range channels {
			for b := range channels {
				sum += row[a] * cov[a][b] * row[b] / (max(s.white[a], 1e-3) * max(s.white[b], 1e-3))
			}
		}
	}
	s.doubt = math.Sqrt(sum)
	return s
}

// cameraModel is what may be wrong with a camera's colours beside their white.
type cameraModel struct {
	name  string
	tone  bool
	roots bool // the mixing has root terms
	mixes bool
}

var cameraModels = []cameraModel{
	{name: "none"},
	{name: "tone curve", tone: true},
	{name: "tone curve and 3 x 3", tone: true, mixes: true},
	{name: "tone curve and root polynomial", tone: true, mixes: true, roots: true},
}

// corrector turns linear light relative to white into true linear sRGB:
//
//	out = x + B Nᵀ ψ(x)
//
// x is the light under the tone curve, ψ(x) the terms (r, g, b) or, with root
// terms, (r, g, b, √rg, √gb, √rb) of Finlayson, Mackiewicz and Hurlbert 2015,
// "Color correction using root-polynomial regression", IEEE Trans. Image
// Process. 24(5), which keep a colour's hue whatever the exposure. N spans the
// combinations that vanish for white, so that white stays white.
type corrector struct {
	model  cameraModel
	tone   toneCurve
	space  *picture.ColourSpace // of the file
	gain   [channels]float64    // of white, on a chart; 1 on a card
	slope  plane.Point          // of the light across a chart
	mixing *mat.Dense           // 3 by the columns of null
	null   *mat.Dense           // N
}

// terms fills ψ(x).
func (m cameraModel) terms(x [channels]float64, out []float64) []float64 {
	out = append(out[:0], x[:]...)
	if m.roots {
		root := func(a, b float64) float64 { return math.Sqrt(max(0, a) * max(0, b)) }
		out = append(out, root(x[0], x[1]), root(x[1], x[2]), root(x[0], x[2]))
	}
	return out
}

// shade is the light at a place of a chart relative to its middle.
func (k *corrector) shade(at plane.Point) float64 { return 1 + k.slope.X*at.X + k.slope.Y*at.Y }

// ratio is a sample's light relative to white under the tone curve, times white.
func (k *corrector) ratio(s *colourSample, white [channels]float64) (x [channels]float64) {
	shade := k.shade(s.at)
	light, paper := k.tone.undone(s.light, k.space, k.tone.light), k.tone.undone(s.white, k.space, k.tone.light)
	for c := range x {
		x[c] = light[c] / max(paper[c], 1e-6) * white[c] * k.gain[c] / shade
	}
	return x
}

// mixed applies the mixing to light relative to a perfect white.
func (k *corrector) mixed(x [channels]float64) [channels]float64 {
	if k.mixing == nil {
		return x
	}
	out := x
	terms := k.model.terms(x, make([]float64, 0, 6))
	_, free := k.null.Dims()
	for j := range free {
		q := 0.0
		for i, t := range terms {
			q += t * k.null.At(i, j)
		}
		for c := range out {
			out[c] += k.mixing.At(c, j) * q
		}
	}
	return out
}

// colour is the sample's corrected colour.
func (k *corrector) colour(s *colourSample, white [channels]float64) spectrum.Lab {
	y := k.mixed(k.ratio(s, white))
	return spectrum.LabOfLinear(y[0], y[1], y[2])
}

// nullOf returns an orthonormal basis of what is perpendicular to v.
func nullOf(v []float64) *mat.Dense {
	n := len(v)
	var svd mat.SVD
	if !svd.Factorize(mat.NewDense(1, n, slices.Clone(v)), mat.SVDFullV) {
		panic("photo: no basis beside the white")
	}
	var full mat.Dense
	svd.VTo(&full)
	return mat.DenseCopyOf(full.Slice(0, n, 1, n))
}

// cameraFit fits a corrector to samples.
type cameraFit struct {
	white [channels]float64    // linear sRGB of what the samples' white is
	space *picture.ColourSpace // of the picture's file
	chart bool                 // the light of white is fitted too, from all patches
}

// How far, as standard deviations, a camera may be expected to be off: of the
// mixing, and of the tone curve. They only hold what the patches leave open.
const (
	expectedMixing     = 0.2
	expectedTone       = 0.3
	expectedGlare      = 0.005 // on a card; in the room around a chart more
	expectedChartGlare = 0.02
	expectedTogether   = 0.5
	expectedSlope      = 0.2
	expectedGain       = 0.3
)

// residuals solves the mixing for the given tone and light and returns what it
// leaves, in dE00 over its doubt, followed by what it costs.
func (f cameraFit) residuals(k *corrector, samples []colourSample) []float64 {
	xs := make([][channels]float64, len(samples))
	for i := range samples {
		xs[i] = k.ratio(&samples[i], f.white)
	}
	if k.model.mixes {
		f.mix(k, samples, xs)
	}
	out := make([]float64, 0, 3*len(samples)+10)
	for i := range samples {
		y := k.mixed(xs[i])
		for row := range 3 {
			d := 0.0
			for c := range y {
				d += samples[i].metric[row][c] * (y[c] - samples[i].target[c])
			}
			out = append(out, d/samples[i].doubt)
		}
	}
	glare := expectedGlare
	if f.chart {
		glare = expectedChartGlare
	}
	out = append(out, k.tone.lift/expectedTone, k.tone.bend/expectedTone, k.tone.skew/expectedTone, k.tone.glare/glare)
	if f.chart {
		out = append(out, k.tone.together/expectedTogether)
		out = append(out, k.slope.X/expectedSlope, k.slope.Y/expectedSlope)
		for _, g := range k.gain {
			out = append(out, (g-1)/expectedGain)
		}
	}
	return out
}

// mix is the least squares mixing.
func (f cameraFit) mix(k *corrector, samples []colourSample, xs [][channels]float64) {
	if k.null == nil {
		k.null = nullOf(k.model.terms(f.white, nil))
	}
	terms, free := k.null.Dims()
	n := channels * free
	normal, right := make([]float64, n*n), make([]float64, n) // the upper triangle
	row, psi := make([]float64, n), make([]float64, terms)
	for i := range samples {
		psi = k.model.terms(xs[i], psi)
		weight := 1 / samples[i].doubt
		for r := range 3 {
			want := 0.0
			for c := range channels {
				want += weight * samples[i].metric[r][c] * (samples[i].target[c] - xs[i][c])
			}
			for j := range free {
				q := 0.0
				for t, v := range psi {
					q += v * k.null.At(t, j)
				}
				for c := range channels {
					row[c*free+j] = weight * samples[i].metric[r][c] * q
				}
			}
			for a := range row {
				right[a] += row[a] * want
				for b := a; b < n; b++ {
					normal[a*n+b] += row[a] * row[b]
				}
			}
		}
	}
	for a := range n {
		normal[a*n+a] += 1 / (expectedMixing * expectedMixing)
	}
	var factor mat.Cholesky
	var solution mat.VecDense
	k.mixing = nil
	if factor.Factorize(mat.NewSymDense(n, normal)) && factor.SolveVecTo(&solution, mat.NewVecDense(n, right)) == nil {
		k.mixing = mat.NewDense(channels, free, slices.Clone(solution.RawVector().Data))
	}
}

// fit is a Gauss-Newton search for tone and light with the mixing solved at
// each step (variable projection: Golub and Pereyra 1973, SIAM J. Numer. Anal.
// 10(2), here with derivatives by differences).
func (f cameraFit) fit(m cameraModel, samples []colourSample) *corrector {
	k := &corrector{model: m, space: f.space, gain: [channels]float64{1, 1, 1}}
	var free []*float64
	if m.tone {
		free = append(free, &k.tone.lift, &k.tone.bend, &k.tone.skew, &k.tone.glare)
	}
	if f.chart {
		if m.tone { // the few patches of a strip would not hold it
			free = append(free, &k.tone.together)
		}
		free = append(free, &k.gain[0], &k.gain[1], &k.gain[2], &k.slope.X, &k.slope.Y)
	}
	now := f.residuals(k, samples)
	const rounds, h = 12, 1e-4
	for range rounds {
		if len(free) == 0 || !f.step(k, free, samples, &now, h) {
			break
		}
	}
	f.residuals(k, samples) // leaves the mixing of the best
	return k
}

// step moves the free values once; false when that gains nothing.
func (f cameraFit) step(k *corrector, free []*float64, samples []colourSample, now *[]float64, h float64) bool {
	n := len(free)
	slopes := make([][]float64, n)
	for j, v := range free {
		old := *v
		*v = old + h
		slopes[j] = f.residuals(k, samples)
		*v = old
		for i := range slopes[j] {
			slopes[j][i] = (slopes[j][i] - (*now)[i]) / h
		}
	}
	normal, right := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for a := range n {
		for b := a; b < n; b++ {
			normal.SetSym(a, b, dot(slopes[a], slopes[b]))
		}
		right.SetVec(a, -dot(slopes[a], *now))
	}
	var factor mat.Cholesky
	var move mat.VecDense
	if !factor.Factorize(normal) || factor.SolveVecTo(&move, right) != nil {
		return false
	}
	before, old := dot(*now, *now), make([]float64, n)
	for j, v := range free {
		old[j] = *v
	}
	for share := 1.0; share > 0.05; share /= 2 {
		for j, v := range free {
			*v = old[j] + share*move.AtVec(j)
		}
		if k.tone.isSound() {
			if next := f.residuals(k, samples); dot(next, next) < before {
				*now = next
				return before-dot(next, next) > 1e-4*before
			}
		}
	}
	for j, v := range free {
		*v = old[j]
	}
	return false
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// leastGain is by which share a richer model must lower the error at patches held
// out to be taken.
const leastGain = 0.95

// choose fits every model with each patch held out in turn, takes the one that
// predicts them best, and returns it fitted to all patches.
//
// A patch that the others predict badly is under wax or in a shadow; it is left
// out, and the choice made again.
func (f cameraFit) choose(samples []colourSample) (*corrector, Correction) {
	const leastPatches, bad, far = 8, 4.0, 5.0 // of dE00, and times the median
	k, correction, heldOut := f.chosen(samples)
	limit := max(bad, far*correction.HeldOutDE00)
	var good []colourSample
	for i, e := range heldOut {
		if e <= limit {
			good = append(good, samples[i])
		}
	}
	if len(good) < len(samples) && len(good) >= leastPatches {
		k, correction, _ = f.chosen(good)
	}
	return k, correction
}

func (f cameraFit) chosen(samples []colourSample) (*corrector, Correction, []float64) {
	best := f.best(samples, len(samples))
	heldOut := f.heldOut(best, samples, len(samples))
	k := f.fit(best, samples)
	var left, moved []float64
	unmixed := *k
	unmixed.mixing = nil
	for i := range samples {
		left = append(left, f.error(k, &samples[i]))
		moved = append(moved, spectrum.DE00(k.colour(&samples[i], f.white), unmixed.colour(&samples[i], f.white)))
	}
	return k, Correction{
		Model: best.name, Patches: len(samples),
		MedianDE00: rank.Median(left), WorstDE00: slices.Max(left), HeldOutDE00: rank.Median(slices.Clone(heldOut)), MixedDE00: rms(moved),
	}, heldOut
}

// best is the model that predicts samples best when they are held out in so many
// parts.
func (f cameraFit) best(samples []colourSample, parts int) (best cameraModel) {
	score := math.Inf(1)
	for _, m := range cameraModels {
		if _, free := m.size(); len(samples)*3 < 2*free {
			continue
		}
		if s := rms(f.heldOut(m, samples, parts)); s < leastGain*score {
			best, score = m, s
		}
	}
	return best
}

// size returns the number of terms, and of values fitted on a card.
func (m cameraModel) size() (terms, free int) {
	if m.tone {
		free = 4
	}
	if !m.mixes {
		return 0, free
	}
	terms = 3
	if m.roots {
		terms = 6
	}
	return terms, free + channels*(terms-1)
}

// heldOut are the errors at samples that a fit to the others leaves: every
// parts-th sample is held out together.
func (f cameraFit) heldOut(m cameraModel, samples []colourSample, parts int) []float64 {
	errors := make([]float64, len(samples))
	for part := range parts {
		var others []colourSample
		for i, s := range samples {
			if i%parts != part {
				others = append(others, s)
			}
		}
		k := f.fit(m, others)
		for i := part; i < len(samples); i += parts {
			errors[i] = f.error(k, &samples[i])
		}
	}
	return errors
}

func (f cameraFit) error(k *corrector, s *colourSample) float64 {
	return spectrum.DE00(k.colour(s, f.white), spectrum.LabOfLinear(s.target[0], s.target[1], s.target[2]))
}

func rms(values []float64) float64 {
	return math.Sqrt(dot(values, values) / float64(max(1, len(values))))
}
