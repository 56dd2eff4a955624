package optics

import (
	"fmt"
	"math"

	"setshade/internal/spectrum"
)

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
// for. Where nothing scatters, K/S is +Inf: an opaque layer is black there. Where
// nothing absorbs either, no thickness of it hides what lies beneath, and there is
// no K/S: that is an error. Doses and dyes of unequal number panic, and so do
// values that are negative or not finite.
//
// It assumes that each particle works as if alone. Close-packed pigment and dye
// that no longer dissolves fall short of the sum.
//
// Source: Duncan 1940, Proc. Phys. Soc. 52:390, two-constant theory.
func MixKS(base Colorant, dyes []Colorant, doses []float64) (spectrum.Spectrum, error) {
	mix := Mix(base, dyes, doses)
	for i, s := range mix.S {
		if s == 0 && mix.K[i] == 0 {
			return spectrum.Spectrum{}, fmt.Errorf("at %g nm nothing in this wax absorbs or scatters, so that no thickness of it hides what lies beneath; ask for a film over its card", spectrum.WavelengthNM(i))
		}
		mix.K[i] /= s
	}
	return mix.K, nil
}

// Mix returns the absorption and scattering of a base with dyes in it, the K0 +
// Σ ci Ki and S0 + Σ ci Si of MixKS. It panics as MixKS does.
func Mix(base Colorant, dyes []Colorant, doses []float64) Colorant {
	if len(dyes) != len(doses) {
		panic("optics: every dye of a mixture needs one dose")
	}
	base.check()
	for d, dye := range dyes {
		dye.check()
		check("a dose", doses[d], 0, math.MaxFloat64)
		for i := range base.K {
			base.K[i] += doses[d] * dye.K[i]
			base.S[i] += doses[d] * dye.S[i]
		}
	}
	base.check()
	return base
}

func (c Colorant) check() {
	for i := range c.K {
		check("an absorption", c.K[i], 0, math.MaxFloat64)
		check("a scattering", c.S[i], 0, math.MaxFloat64)
	}
}
