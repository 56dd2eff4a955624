package calibrate

import (
	"fmt"
	"slices"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Sample is one drop, or one thick piece, as the fit sees it.
type Sample struct {
	// ID names the drop in diagnoses; any number that the caller knows it by.
	ID     int64
	Recipe wax.Recipe
	Colour spectrum.Measured
	// State is liquid or set; empty is set.
	State wax.State
	// Thick marks a set piece so thick that nothing shows through.
	Thick bool
	// Card is the colour of what the drop lies on: the bare card, or the bare
	// black bar printed on it. Not used when Thick.
	Card spectrum.Lab
	// CardID names the card as it was photographed; drops of one card share
	// how much thicker they are than usual. Empty when not known.
	CardID string
	// ThicknessMM is how thick the drop is told to be in its middle, mm, to some 10 %;
	// 0 where nothing was told. Samples of one ID are then of one drop.
	ThicknessMM float64
	// LightID names the drops whose errors may hold the same light: those of one
	// photograph, or of one reader of before. Empty where the colour was not read from a
	// photograph.
	LightID string
}

// SamplesOf takes the swatches a fit may learn from: drops set and liquid, and
// thick pieces, that are not kept back as checks. A set drop that crosses the
// black bar gives two samples, one of each half; a thick piece there only one, since
// its other half tells the same again. The wax tells the thickness of drops whose mass
// and diameter are known.
func SamplesOf(base wax.Wax, swatches []wax.Swatch) []Sample {
	var out []Sample
	for _, s := range swatches {
		if s.Check {
			continue
		}
		sample := Sample{
			ID: s.ID, Recipe: s.Recipe, Colour: s.Colour, State: s.State, Thick: s.Thick, Card: s.Card, CardID: s.Photo.SHA256,
			ThicknessMM: base.DropThicknessMM(s.MassG, s.DiameterMM),
		}
		doubt := s.Photo.DoubtL()
		switch {
		case doubt > 0:
			sample.LightID = fmt.Sprintf("reader %d", s.Photo.Reader)
		case s.Photo.Reader > 0:
			sample.LightID = s.Photo.SHA256
		}
		sample.Colour = lightDoubted(s.Colour, doubt)
		out = append(out, sample)
		if s.OverBlack != nil && s.Bar != nil && !s.Thick && !sample.isLiquid() {
			sample.Colour, sample.Card = lightDoubted(*s.OverBlack, doubt), *s.Bar
			out = append(out, sample)
		}
	}
	return out
}

// mostThicknessMM is thicker than any drop.
const mostThicknessMM = 1000

func (s Sample) isLiquid() bool { return s.State == wax.LiquidState }

func (s Sample) validate() error {
	if !s.Colour.Lab.IsPlausible() || !s.Card.IsPlausible() {
		return fmt.Errorf("swatch %d has no colour that can be", s.ID)
	}
	if !spectrum.IsCovariance(s.Colour.Cov) {
		return fmt.Errorf("the error of the colour of swatch %d cannot be", s.ID)
	}
	if s.Thick && s.isLiquid() {
		return fmt.Errorf("swatch %d is a thick piece and liquid at once; liquid wax is read as drops", s.ID)
	}
	if !(s.ThicknessMM >= 0 && s.ThicknessMM <= mostThicknessMM) {
		return fmt.Errorf("swatch %d has a thickness that cannot be", s.ID)
	}
	_, err := wax.NewRecipe(s.Recipe...)
	if err != nil {
		return fmt.Errorf("swatch %d: %w", s.ID, err)
	}
	return nil
}

// usualCard is the lightest card that a set drop lies on; of cards as white as
// each other it does not matter which.
func usualCard(samples []Sample) spectrum.Lab {
	var usual spectrum.Lab
	for _, s := range samples {
		if !s.isLiquid() && !s.Thick && s.Card.L > usual.L {
			usual = s.Card
		}
	}
	return usual
}

// seenDark reports whether a set drop lies on something dark, such as the black
// bar, so that hiding shows.
func seenDark(samples []Sample) bool {
	return slices.ContainsFunc(samples, func(s Sample) bool { return !s.isLiquid() && !s.Thick && s.Card.L < 60 })
}
