package optics

import "setshade/internal/spectrum"

// Colorant is what a base or a dye does to light, band by band, in any unit of
// length as long as all of a mixture use the same. Of a base it is the whole;
// of a dye it is the addition of one unit of dose.
type Colorant struct {
	// K is absorption and S is scattering, each 0 or more. A dissolved dye has
	// S = 0.
	K, S spectrum.Spectrum
}

// MixKS returns the K/S of a base with dyes in it:
//
//	K/S = (K0 + Σ ci Ki) / (S0 + Σ ci Si)
//
// where ci is the dose of dye i, 0 or more, in the unit its Colorant is given
// for. The base must scatter in every band (S0 > 0). Doses and dyes of unequal
// number panic.
//
// It assumes that each particle works as if alone. Close-packed pigment and dye
// that no longer dissolves fall short of the sum.
//
// Source: Duncan 1940, Proc. Phys. Soc. 52:390, two-constant theory.
func MixKS(base Colorant, dyes []Colorant, doses []float64) spectrum.Spectrum {
	if len(dyes) != len(doses) {
		panic("optics: every dye of a mixture needs one dose")
	}
	k, s := base.K, base.S
	for d, dye := range dyes {
		for i := range k {
			k[i] += doses[d] * dye.K[i]
			s[i] += doses[d] * dye.S[i]
		}
	}
	for i := range k {
		k[i] /= s[i]
	}
	return k
}
