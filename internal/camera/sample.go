package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// Channels of linear light, short for those of picture.
const (
	red      = picture.Red
	green    = picture.Green
	blue     = picture.Blue
	channels = picture.Channels
)

// Sample is a patch with a known colour.
type Sample struct {
	// Light is the linear light of the picture, White that of card white at its place,
	// both before any correction.
	Light, White [channels]float64
	// At is the patch's place, -1..1 across the samples; only a chart has need of it.
	At plane.Point
	// Doubt is the standard deviation, in dE00, of what was read.
	Doubt  float64
	target [channels]float64 // linear sRGB
	// metric turns a difference of linear sRGB from the target into one whose
	// length is about its dE00.
	metric [3][channels]float64
}

// leastDoubt is that of a patch without rounding: print and light are not known
// better.
const leastDoubt = 0.3

// NewSample is a patch of light, beside white, that is of colour target under D65.
func NewSample(light, white [channels]float64, target spectrum.Lab, at plane.Point) Sample {
	r, g, b := target.Linear()
	s := Sample{Light: light, White: white, At: at, Doubt: leastDoubt, target: [channels]float64{r, g, b}}
	// The root of the metric by Cholesky; its Jacobian by differences.
	var factor mat.Cholesky
	if !factor.Factorize(spectrum.Symmetric(target.Metric00())) {
		panic("camera: the metric of dE00 is positive definite")
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

// Rounded widens the doubt by the rounding of the file's code.
func (s Sample) Rounded(k picture.Code) Sample {
	cov := k.ErrorAt(s.Light)
	sum := s.Doubt * s.Doubt
	for _, row := range s.metric {
		for a := range channels {
			for b := range channels {
				sum += row[a] * cov[a][b] * row[b] / (max(s.White[a], 1e-3) * max(s.White[b], 1e-3))
			}
		}
	}
	s.Doubt = math.Sqrt(sum)
	return s
}
