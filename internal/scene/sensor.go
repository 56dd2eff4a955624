package scene

import (
	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// Sensor is a camera with spectral sensitivities of its own, at work under a lamp. All
// four are relative. Colours that look alike may part in it and others meet, as in any
// real camera, and no correction afterwards undoes that wholly.
type Sensor struct{ Red, Green, Blue, Lamp spectrum.Spectrum }

// developed is what a camera makes of the light it catches:
//
//	out = M ρ,  ρ = Σ s(λ) lamp(λ) R(λ) / Σ s(λ) lamp(λ) Rcard(λ)
//
// balanced so that the card is ρ = 1 in all channels. M takes ρ to the sRGB that the
// card's reflectance has under D65, exactly, and any other as nearly as can be when
// nothing is known of reflectances: least squares over spectra whose bands are
// independent (Finlayson and Drew 1997, "White-point preserving color correction",
// 5th Color Imaging Conference; from memory).
type developed struct {
	catches [3]spectrum.Spectrum // s lamp, balanced
	matrix  mat.Dense
}

func (s Sensor) develop(card spectrum.Spectrum) *developed {
	d := &developed{catches: [3]spectrum.Spectrum{s.Red, s.Green, s.Blue}}
	caught, wanted := mat.NewDense(3, spectrum.Bands, nil), mat.NewDense(3, spectrum.Bands, nil)
	for c := range d.catches {
		white := 0.0
		for i := range card {
			d.catches[c][i] *= s.Lamp[i]
			white += d.catches[c][i] * card[i]
		}
		for i := range card {
			d.catches[c][i] /= white
		}
		caught.SetRow(c, d.catches[c][:])
	}
	for i := range card {
		var band spectrum.Spectrum
		band[i] = 1
		shown := seen(band)
		wanted.SetCol(i, shown[:])
	}
	// M = T Sᵀ G with G = (S Sᵀ)⁻¹, and then the least change that makes M 1 the card:
	// M + (w - M 1) 1ᵀG / (1ᵀ G 1).
	var square, g mat.Dense
	square.Mul(caught, caught.T())
	if err := g.Inverse(&square); err != nil {
		panic("scene: a sensor whose channels are alike")
	}
	d.matrix.Product(wanted, caught.T(), &g)
	ones := mat.NewVecDense(3, []float64{1, 1, 1})
	white := seen(card)
	var short, share mat.VecDense
	short.MulVec(&d.matrix, ones)
	short.SubVec(mat.NewVecDense(3, white[:]), &short)
	share.MulVec(&g, ones)
	d.matrix.RankOne(&d.matrix, 1/mat.Dot(ones, &share), &short, &share)
	return d
}

// sees returns the channels of a reflectance factor.
func (d *developed) sees(r spectrum.Spectrum) (out colour) {
	for c, catches := range d.catches {
		light := 0.0
		for i, v := range catches {
			light += v * r[i]
		}
		for k := range out {
			out[k] += d.matrix.At(k, c) * light
		}
	}
	return out
}
