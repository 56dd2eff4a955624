package calibrate

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/optics"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Model is what has been learned of a wax and the dyes in it.
type Model struct {
	Wax             string
	RefractiveIndex float64
	// Dyes are the learned dyes in order of name, with the doses tested.
	Dyes []DyeRange
	// Smoothness and NoiseDE00 are the two weights the evidence chose; the
	// noise is what drops miss by beyond their measured error, in dE00.
	Smoothness, NoiseDE00 float64
	// Converged is false when the descent stopped early or the answer is
	// ill-conditioned: then believe the intervals less.
	Converged bool
	// Drops tells how each drop fits, in the order of the samples.
	Drops []DropFit

	theta      []float64
	covariance *mat.SymDense
}

// View says which piece of wax a colour is asked of.
type View struct {
	// Thick asks for a piece so thick that nothing shows through; otherwise
	// for a test drop on card.
	Thick bool
	// Card is the bare card under a drop; not used when Thick.
	Card spectrum.Lab
}

// Prediction is the colour a recipe will have once set.
type Prediction struct {
	Reflectance spectrum.Spectrum
	Lab         spectrum.Lab
	// Cov is the covariance of (L*, a*, b*): what is not known of the dyes and
	// the wax, and how far one drop differs from the next.
	Cov [3][3]float64
}

// ErrUnknownDye is wrapped by errors that name a dye no drop has shown.
var ErrUnknownDye = fmt.Errorf("this dye has not been learned")

// Predict returns the colour of a recipe with its covariance, to first order:
//
//	Cov = J Σ Jᵀ + C
//
// with J the derivative of the colour, Σ the posterior covariance of the
// unknowns and C the spread of drops. A recipe with a dye that has not been
// learned is an error that wraps ErrUnknownDye.
func (m *Model) Predict(recipe wax.Recipe, view View) (Prediction, error) {
	f, err := m.respond(recipe, view)
	if err != nil {
		return Prediction{}, err
	}
	p := Prediction{Reflectance: f.reflectance, Lab: f.lab}
	spread := errorCovariance(spectrum.Measured{Lab: f.lab}, m.NoiseDE00)
	for r := range 3 {
		for c := range 3 {
			p.Cov[r][c] = spread.At(r, c)
		}
	}
	for i, a := range f.index {
		for k, b := range f.index {
			v := m.covariance.At(a, b)
			for r := range 3 {
				for c := range 3 {
					p.Cov[r][c] += f.jacobian[i][r] * v * f.jacobian[k][c]
				}
			}
		}
	}
	return p, nil
}

// Lab returns the colour of a recipe alone, without its covariance.
func (m *Model) Lab(recipe wax.Recipe, view View) (spectrum.Lab, error) {
	if err := m.knows(recipe); err != nil {
		return spectrum.Lab{}, err
	}
	f := m.film(recipe, view)
	return spectrum.D65.Lab(f.outer()), nil
}

// Range returns what was tested of a dye.
func (m *Model) Range(dye string) (DyeRange, bool) {
	if d := dyeAt(m.Dyes, dye); d >= 0 {
		return m.Dyes[d], true
	}
	return DyeRange{}, false
}

// AbsorptionOf returns the learned K/S that a dye adds at its reference dose.
func (m *Model) AbsorptionOf(dye string) (spectrum.Spectrum, error) {
	if err := m.knows(wax.Recipe{{Dye: dye, DoseGPerKg: 1}}); err != nil {
		return spectrum.Spectrum{}, err
	}
	return absorption(m.theta[offset(dyeAt(m.Dyes, dye)):], 0), nil
}

func (m *Model) knows(recipe wax.Recipe) error {
	for _, p := range recipe {
		if dyeAt(m.Dyes, p.Dye) < 0 {
			names := make([]string, len(m.Dyes))
			for i, d := range m.Dyes {
				names[i] = d.Name
			}
			return fmt.Errorf("%s has not been learned in %s (learned: %s): %w", p.Dye, m.Wax, strings.Join(names, ", "), ErrUnknownDye)
		}
	}
	return nil
}

func (m *Model) film(recipe wax.Recipe, view View) film {
	return newFilm(m.theta, ingredients(m.Dyes, recipe), view.Card.Smooth(), optics.SurfaceOf(m.RefractiveIndex), view.Thick)
}

func (m *Model) respond(recipe wax.Recipe, view View) (response, error) {
	if err := m.knows(recipe); err != nil {
		return response{}, err
	}
	mix := ingredients(m.Dyes, recipe)
	return m.film(recipe, view).respond(mix), nil
}
