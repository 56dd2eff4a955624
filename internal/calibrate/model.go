package calibrate

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Model is what has been learned of a wax and the dyes in it.
type Model struct {
	Wax             string
	RefractiveIndex float64
	// Dyes are the learned dyes in order of name, with the doses tested.
	Dyes []DyeRange
	// Smoothness and the two noises are the weights the evidence chose; a noise
	// is what set, or liquid, drops miss by beyond their measured error, in dE00.
	// That of liquid drops means nothing while KnowsLiquid is false.
	Smoothness, NoiseDE00, LiquidNoiseDE00 float64
	// Converged is false when the descent stopped early or the answer is
	// ill-conditioned: then believe the intervals less.
	Converged bool
	// Drops tells how each drop fits, in the order of the samples.
	Drops []DropFit

	layout     layout
	media      media
	usualCard  spectrum.Lab // under most set drops
	seenThick  bool         // whether a thick piece was among the samples
	theta      []float64
	covariance *mat.SymDense
	ensemble   [][]float64 // draws of the unknowns, when explored
}

// View says which piece of wax a colour is asked of.
type View struct {
	// Thick asks for a piece so thick that nothing shows through; otherwise
	// for a test drop on card.
	Thick bool
	// Card is what a drop lies on, bare: card, or the black bar. Not used when
	// Thick.
	Card spectrum.Lab
	// Liquid asks for a drop before it sets; not together with Thick.
	Liquid bool
}

func (m *Model) weights() weights {
	return weights{m.Smoothness, m.NoiseDE00, m.LiquidNoiseDE00}
}

// KnowsLiquid reports whether liquid drops were learned from, so that a view of
// liquid drops can be answered.
func (m *Model) KnowsLiquid() bool { return m.layout.liquid() }

// Prediction is the colour a recipe will have once set.
type Prediction struct {
	Reflectance spectrum.Spectrum
	Lab         spectrum.Lab
	// Cov is the covariance of (L*, a*, b*): what is not known of the dyes and
	// the wax, and how far one drop differs from the next.
	Cov [3][3]float64
}

// ErrUnknownDye is wrapped by errors that name a dye no drop has shown.
var ErrUnknownDye = errors.New("this dye has not been learned")

// ErrNoLiquid is returned when a liquid drop is asked of a model that has seen
// none, or a thick piece of liquid wax.
var ErrNoLiquid = errors.New("no liquid drop of this wax has been learned; photograph a card of drops while they are liquid, and again when set, and learn both")

// ErrMurky is wrapped by errors about liquid wax with particles in it.
var ErrMurky = errors.New("liquid wax with a pigment or mica in it is not clear, so a liquid drop of it tells nothing; let it set")

// Predict returns the colour of a recipe with its covariance, to first order:
//
//	Cov = J Σ Jᵀ + F Fᵀ + C
//
// with J the derivative of the colour, Σ the posterior covariance of the
// unknowns, F the derivative by what no drop has shown (how much thicker the
// drops of the next card are, a dye's ratio of liquid to set) times its usual
// spread, and C the spread of drops. A recipe with a dye that has not been
// learned is an error that wraps ErrUnknownDye, a liquid view of a model that
// knows none is ErrNoLiquid. A dose that is not above 0 and a card without a colour
// are errors; one that wraps ErrNoColour stands for an answer that is not finite.
func (m *Model) Predict(recipe wax.Recipe, view View) (Prediction, error) {
	f, err := m.respond(recipe, view)
	if err != nil {
		return Prediction{}, err
	}
	return m.told(recipe, Prediction{Reflectance: f.reflectance, Lab: f.lab, Cov: m.spread(recipe, f, view)})
}

// told refuses a prediction that is not sound.
func (m *Model) told(recipe wax.Recipe, p Prediction) (Prediction, error) {
	if !p.sound() {
		return Prediction{}, m.noColour(recipe)
	}
	return p, nil
}

// tells refuses a colour that no wax has.
func (m *Model) tells(recipe wax.Recipe, lab spectrum.Lab) error {
	if !lab.IsPlausible() {
		return m.noColour(recipe)
	}
	return nil
}

func (m *Model) noColour(recipe wax.Recipe) error {
	return fmt.Errorf("%s in %s: %w", recipe, m.Wax, ErrNoColour)
}

// spread is the covariance of a predicted colour.
func (m *Model) spread(recipe wax.Recipe, f response, view View) (cov [3][3]float64) {
	cov = m.dropSpread(recipe, f, view)
	known := m.known(f)
	for r := range 3 {
		for c := range 3 {
			cov[r][c] += known[r][c]
		}
	}
	return cov
}

// dropSpread is the part of the covariance that no knowledge of the dyes takes
// away: F Fᵀ + C of Predict.
func (m *Model) dropSpread(recipe wax.Recipe, f response, view View) (cov [3][3]float64) {
	noise := m.NoiseDE00
	switch {
	case view.Liquid:
		noise = m.LiquidNoiseDE00
	case view.Thick:
		noise = math.Hypot(noise, thickDoubt*m.stepFromDrop(recipe, f.lab))
	}
	drops := errorCovariance(spectrum.Measured{Lab: f.lab}, noise)
	for r := range 3 {
		for c := range 3 {
			cov[r][c] = drops.At(r, c)
			for _, d := range f.fresh {
				cov[r][c] += d[r] * d[c]
			}
		}
	}
	return cov
}

// thickDoubt is the share of the step from a drop on its card to a thick piece
// that the film's theory may be wrong by when no thick piece has been learned:
// its light is even in all directions, that of a real thin drop is not. Chosen
// by the coverage of thick pieces in scenes of radiative transfer.
const thickDoubt = 0.1

// stepFromDrop is how far a thick piece is from a drop on the usual card.
func (m *Model) stepFromDrop(recipe wax.Recipe, thick spectrum.Lab) float64 {
	if m.seenThick {
		return 0
	}
	f := m.film(recipe, View{Card: m.usualCard})
	return spectrum.DE00(thick, spectrum.D65.Lab(f.outer()))
}

// Lab returns the colour of a recipe alone, without its covariance.
func (m *Model) Lab(recipe wax.Recipe, view View) (spectrum.Lab, error) {
	if err := m.answers(recipe, view); err != nil {
		return spectrum.Lab{}, err
	}
	f := m.film(recipe, view)
	lab := spectrum.D65.Lab(f.outer())
	return lab, m.tells(recipe, lab)
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
	return absorption(m.theta[m.layout.dyes[dyeAt(m.Dyes, dye)].at:], 0), nil
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

func (m *Model) answers(recipe wax.Recipe, view View) error {
	if view.Liquid && (view.Thick || !m.KnowsLiquid()) {
		return ErrNoLiquid
	}
	if err := m.knows(recipe); err != nil {
		return err
	}
	if err := asked(recipe, view); err != nil {
		return err
	}
	for _, p := range recipe {
		if view.Liquid && m.Dyes[dyeAt(m.Dyes, p.Dye)].Scatters {
			return fmt.Errorf("%s: %w", p.Dye, ErrMurky)
		}
	}
	return nil
}

func (m *Model) pieceOf(recipe wax.Recipe, view View) piece {
	return piece{
		mix: m.layout.ingredients(recipe), liquid: view.Liquid, thick: view.Thick,
		backing: backingOf(view.Card), card: absent, own: absent,
	}
}

func (m *Model) film(recipe wax.Recipe, view View) film {
	return m.layout.film(m.theta, m.pieceOf(recipe, view), m.media)
}

func (m *Model) respond(recipe wax.Recipe, view View) (response, error) {
	if err := m.answers(recipe, view); err != nil {
		return response{}, err
	}
	f := m.layout.respond(m.film(recipe, view))
	return f, m.tells(recipe, f.lab)
}
