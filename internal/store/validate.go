package store

import (
	"math"
	"strings"
	"unicode/utf8"

	"setshade/internal/plaintext"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// validText refuses what could not be given back as it came, and what would command a
// terminal or mislead who reads it.
func validText(text string) error {
	if !utf8.ValidString(text) {
		return refuse(ErrInvalid, "the text %.20q is not plain UTF-8; save it as UTF-8 and try again", text)
	}
	if at := strings.IndexFunc(text, plaintext.IsHiddenInLines); at >= 0 {
		return refuse(ErrInvalid, "the text %.20q has a character that cannot be shown; type it again", text[max(0, at-10):])
	}
	return nil
}

func validateSwatches(photo string, swatches []wax.Swatch) error {
	if len(swatches) == 0 {
		return refuse(ErrInvalid, "the photograph %s comes with no drops; nothing was recorded", photo)
	}
	drops := map[int]bool{}
	for _, sw := range swatches {
		if drops[sw.Drop] {
			return refuse(ErrInvalid, "drop %d of %s is given twice; number each drop once", sw.Drop, photo)
		}
		drops[sw.Drop] = true
		if problem := problemOf(sw); problem != "" {
			return refuse(ErrInvalid, "drop %d of %s %s; nothing was recorded", sw.Drop, photo, problem)
		}
	}
	return nil
}

// problemOf says the first thing that cannot be true of a swatch, or "".
func problemOf(sw wax.Swatch) string {
	switch {
	case sw.Drop < 1:
		return "needs a number from 1"
	case sw.State != wax.LiquidState && sw.State != wax.SetState:
		return "is neither liquid nor set"
	case !sw.Colour.Lab.IsPlausible():
		return "has a colour that cannot be"
	case !spectrum.IsCovariance(sw.Colour.Cov):
		return "has an error of its colour that cannot be"
	case !sw.Card.IsPlausible():
		return "has a card colour that cannot be"
	case sw.OverBlack != nil && !(sw.OverBlack.Lab.IsPlausible() && spectrum.IsCovariance(sw.OverBlack.Cov)):
		return "has a colour over the black bar that cannot be"
	case sw.Bar != nil && !sw.Bar.IsPlausible():
		return "has a black bar whose colour cannot be"
	case !(sw.DiameterMM >= 0 && finite(sw.DiameterMM)):
		return "has a diameter that cannot be"
	case !(sw.MassG >= 0 && sw.MassG <= wax.MaxDropG):
		return "has a mass that cannot be"
	case sw.Thick && sw.State != wax.SetState:
		return "is a thick piece and liquid at once"
	case sw.Thick && sw.MassG != 0:
		return "is a thick piece with a mass, which only drops have"
	case sw.AreaPx < 0 || !(sw.AreaShare >= 0 && sw.AreaShare <= 1):
		return "has an area that cannot be"
	}
	if _, err := wax.NewRecipe(sw.Recipe...); err != nil {
		return "has a recipe that cannot be: " + err.Error()
	}
	for _, note := range sw.Notes {
		if validText(note) != nil {
			return "has a note that is not plain UTF-8"
		}
	}
	return ""
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
