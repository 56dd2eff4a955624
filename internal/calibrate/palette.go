package calibrate

import (
	"fmt"
	"math"

	"setshade/internal/optics"
	"setshade/internal/spectrum"
)

// Palette is a wax and its learned dyes as absorption that adds, seen as one
// piece: what a search over doses needs. In terms of strengths
//
//	A(λ) = A₀(λ) + Σ_d k_d(λ) g_d,   g_d = (c_d / ref_d)^p_d
//
// the absorption is linear, and the reflectance factor of every band falls as
// A grows. The colours are those of Model.Lab.
type Palette struct {
	dyes map[string]Colourant
	film film // undyed
}

// Colourant is what one dye adds to the absorption of a wax.
type Colourant struct {
	// Absorption is k_d, the absorption at the reference dose.
	Absorption      spectrum.Spectrum
	ReferenceGPerKg float64
	// Exponent is p_d, above 0.
	Exponent float64
}

// Strength returns g = (c / ref)^p of a dose in g/kg, 0 or more.
func (c Colourant) Strength(doseGPerKg float64) float64 {
	return math.Pow(doseGPerKg/c.ReferenceGPerKg, c.Exponent)
}

// DoseGPerKg is the inverse of Strength.
func (c Colourant) DoseGPerKg(strength float64) float64 {
	return c.ReferenceGPerKg * math.Pow(strength, 1/c.Exponent)
}

// Palette prepares the model for a search over doses. Dyes that scatter are not
// in it: their absorption does not simply add. It refuses a model in
// which more dye does not mean more absorption, which no sensible set of drops
// leads to.
func (m *Model) Palette(view View) (*Palette, error) {
	f := m.film(nil, view)
	p := &Palette{dyes: map[string]Colourant{}, film: f}
	for d, dye := range m.Dyes {
		if dye.Scatters {
			continue
		}
		unknowns := m.theta[m.layout.dyes[d].at:]
		c := Colourant{absorption(unknowns, 0), dye.ReferenceGPerKg, unknowns[exponent]}
		if !(c.Exponent > 0) {
			return nil, fmt.Errorf("what was learned of %s cannot be searched (exponent %.2g); record more drops and learn again", dye.Name, c.Exponent)
		}
		p.dyes[dye.Name] = c
	}
	return p, nil
}

// Undyed returns A₀, the absorption of the wax without dye, above 0.
func (p *Palette) Undyed() spectrum.Spectrum { return p.film.sum }

// Colourant returns what was learned of a dye.
func (p *Palette) Colourant(dye string) (Colourant, bool) {
	c, ok := p.dyes[dye]
	return c, ok
}

// Uniform reports whether all bands have the same reflectance at the same
// absorption, as in a thick piece.
func (p *Palette) Uniform() bool { return p.film.thick }

// BandSlope is the reflectance factor of one band with the factors of its
// slope: dR/dA = -Steepness · KSPerA.
type BandSlope struct {
	Reflectance float64
	// Steepness is -dR/d(K/S), above 0; it falls as A grows, since light that
	// takes long paths is lost first.
	Steepness float64
	// KSPerA is d(K/S)/dA, above 0; it rises with A.
	KSPerA float64
}

// Slope returns dR/dA, below 0.
func (b *BandSlope) Slope() float64 { return -b.Steepness * b.KSPerA }

// Convex reports whether the reflectance factor of every band is known to be a
// convex function of A: of a thick piece, unless K/S bends more than any wax's.
func (p *Palette) Convex() bool { return p.Uniform() && p.film.bend.dark <= mostConvex }

// Band returns the reflectance factor of a band at the absorption a above 0.
func (p *Palette) Band(band int, a float64) BandSlope {
	f := &p.film
	ks := f.bend.ks(a)
	inner, slope := optics.FilmWithSlope(ks, f.depth[band], f.backing[band])
	return BandSlope{
		Reflectance: f.gain * f.surface.Outside(inner),
		Steepness:   -f.gain * f.surface.OutsideSlope(inner) * slope.KS,
		KSPerA:      f.bend.power(a) * ks / a,
	}
}

// Lab returns the colour at an absorption above 0 in every band.
func (p *Palette) Lab(absorption *spectrum.Spectrum) spectrum.Lab {
	f := p.film
	f.ks = absorption.Map(f.bend.ks)
	return spectrum.D65.Lab(f.outer())
}

// LabWithSlopes returns the colour at an absorption, and d(L*, a*, b*) per
// strength of each of the colourants.
func (p *Palette) LabWithSlopes(at *spectrum.Spectrum, colourants []Colourant) (spectrum.Lab, [][3]float64) {
	var r, slope spectrum.Spectrum
	for i, a := range at {
		b := p.Band(i, a)
		r[i], slope[i] = b.Reflectance, b.Slope()
	}
	xyz, white := spectrum.D65.XYZ(r), spectrum.D65.White()
	toLab := labSlope(xyz, white)
	slopes := make([][3]float64, len(colourants))
	for d := range colourants {
		var change spectrum.Spectrum
		for i, k := range colourants[d].Absorption {
			change[i] = slope[i] * k
		}
		c := spectrum.D65.XYZ(change)
		slopes[d] = toLab.times([3]float64{c.X, c.Y, c.Z})
	}
	return xyz.Lab(white), slopes
}
