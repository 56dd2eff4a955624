package camera

import (
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/picture"
)

// Fit fits a Corrector to samples.
type Fit struct {
	// White is the linear sRGB of what the samples' white is, Space the colour space of
	// the picture's file.
	White [channels]float64
	Space *picture.ColourSpace
	// Chart says that the samples lie in a light of their own, with no white card under
	// it: the light of white, and how it falls off, is fitted too, from all patches.
	Chart bool
}

// How far, as standard deviations, a camera may be expected to be off: of the
// mixing, and of the tone curve. They only hold what the patches leave open.
const (
	expectedMixing      = 0.1 // on a card: the few inks of a strip say little of what lies beyond them
	expectedChartMixing = 0.2
	expectedTone        = 0.3
	expectedGlare       = 0.005 // on a card; in the room around a chart more
	expectedChartGlare  = 0.02
	expectedTogether    = 0.5
	expectedSlope       = 0.2
	expectedGain        = 0.3
)

// residuals solves the mixing for the given tone and light and returns what it
// leaves, in dE00 over its doubt, followed by what it costs.
func (f Fit) residuals(k *Corrector, samples []Sample) []float64 {
	xs := make([][channels]float64, len(samples))
	for i := range samples {
		xs[i] = k.ratio(&samples[i], f.White)
	}
	if k.model.mixes {
		f.mix(k, samples, xs)
	}
	out := make([]float64, 0, 3*len(samples)+10)
	for i := range samples {
		y := k.Mixed(xs[i])
		for row := range 3 {
			d := 0.0
			for c := range y {
				d += samples[i].metric[row][c] * (y[c] - samples[i].target[c])
			}
			out = append(out, d/samples[i].Doubt)
		}
	}
	glare := expectedGlare
	if f.Chart {
		glare = expectedChartGlare
	}
	out = append(out, k.tone.lift/expectedTone, k.tone.bend/expectedTone, k.tone.skew/expectedTone, k.tone.glare/glare)
	if f.Chart {
		out = append(out, k.tone.together/expectedTogether)
		out = append(out, k.slope.X/expectedSlope, k.slope.Y/expectedSlope)
		for _, g := range k.gain {
			out = append(out, (g-1)/expectedGain)
		}
	}
	return out
}

// mix is the least squares mixing.
func (f Fit) mix(k *Corrector, samples []Sample, xs [][channels]float64) {
	if k.null == nil {
		k.null = nullOf(k.model.terms(f.White, nil))
	}
	terms, free := k.null.Dims()
	n := channels * free
	normal, right := make([]float64, n*n), make([]float64, n) // the upper triangle
	row, psi := make([]float64, n), make([]float64, terms)
	for i := range samples {
		psi = k.model.terms(xs[i], psi)
		weight := 1 / samples[i].Doubt
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
	mixing := expectedMixing
	if f.Chart {
		mixing = expectedChartMixing
	}
	for a := range n {
		normal[a*n+a] += 1 / (mixing * mixing)
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
func (f Fit) fit(m model, samples []Sample) *Corrector {
	k := &Corrector{model: m, space: f.Space, gain: [channels]float64{1, 1, 1}}
	var free []*float64
	if m.tone {
		free = append(free, &k.tone.lift, &k.tone.bend, &k.tone.skew, &k.tone.glare)
	}
	if f.Chart {
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
func (f Fit) step(k *Corrector, free []*float64, samples []Sample, now *[]float64, h float64) bool {
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
