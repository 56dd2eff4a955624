package camera

import (
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// Corrector turns linear light relative to white into true linear sRGB:
//
//	out = x + B Nᵀ ψ(x)
//
// x is the light under the tone curve, ψ(x) the terms (r, g, b) or, with root
// terms, (r, g, b, √rg, √gb, √rb) of Finlayson, Mackiewicz and Hurlbert 2015,
// "Color correction using root-polynomial regression", IEEE Trans. Image
// Process. 24(5), which keep a colour's hue whatever the exposure. N spans the
// combinations that vanish for white, so that white stays white.
type Corrector struct {
	model  model
	tone   toneCurve
	space  *picture.ColourSpace // of the file
	gain   [channels]float64    // of white, on a chart; 1 on a card
	slope  plane.Point          // of the light across a chart
	mixing *mat.Dense           // 3 by the columns of null
	null   *mat.Dense           // N
}

// shade is the light at a place of a chart relative to its middle.
func (k *Corrector) shade(at plane.Point) float64 { return 1 + k.slope.X*at.X + k.slope.Y*at.Y }

// ratio is a sample's light relative to white under the tone curve, times white.
func (k *Corrector) ratio(s *Sample, white [channels]float64) (x [channels]float64) {
	shade := k.shade(s.At)
	light, paper := k.Straight(s.Light), k.Straight(s.White)
	for c := range x {
		x[c] = light[c] / max(paper[c], 1e-6) * white[c] * k.gain[c] / shade
	}
	return x
}

// LightOfWhite is the linear light, under the tone curve, of a perfect white at a place
// of a chart, as the fit has it from a sample's.
func (k *Corrector) LightOfWhite(s *Sample, at plane.Point) [channels]float64 {
	light := k.Straight(s.White)
	for c := range light {
		light[c] *= k.shade(at) / k.gain[c]
	}
	return light
}

// Mixed applies the mixing to light relative to a perfect white.
func (k *Corrector) Mixed(x [channels]float64) [channels]float64 {
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

// Colour is a sample's corrected colour: white is the linear sRGB of what its white is.
func (k *Corrector) Colour(s *Sample, white [channels]float64) spectrum.Lab {
	y := k.Mixed(k.ratio(s, white))
	return spectrum.LabOfLinear(y[0], y[1], y[2])
}

// nullOf returns an orthonormal basis of what is perpendicular to v.
func nullOf(v []float64) *mat.Dense {
	n := len(v)
	var svd mat.SVD
	if !svd.Factorize(mat.NewDense(1, n, slices.Clone(v)), mat.SVDFullV) {
		panic("camera: no basis beside the white")
	}
	var full mat.Dense
	svd.VTo(&full)
	return mat.DenseCopyOf(full.Slice(0, n, 1, n))
}
