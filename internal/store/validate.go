package store

import (
	"math"
	"strings"
	"unicode/utf8"

	"setshade/internal/wax"
)

// validText refuses what a text column could not give back as it came.
func validText(text string) error {
	if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		return refuse(ErrInvalid, "the text %.20q is not plain UTF-8; save it as UTF-8 and try again", text)
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
	case !finite(sw.Colour.Lab.L, sw.Colour.Lab.A, sw.Colour.Lab.B):
		return "has a colour that is not a number"
	case !covariance(sw.Colour.Cov):
		return "has an error of its colour that cannot be"
	case !finite(sw.Card.L, sw.Card.A, sw.Card.B):
		return "has a card colour that is not a number"
	case sw.OverBlack != nil && !(sw.OverBlack.Lab.IsFinite() && covariance(sw.OverBlack.Cov)):
		return "has a colour over the black bar that cannot be"
	case sw.Bar != nil && !sw.Bar.IsFinite():
		return "has a black bar whose colour is not a number"
	case !(sw.DiameterMM >= 0 && finite(sw.DiameterMM)):
		return "has a diameter that cannot be"
	case sw.Thick && sw.State != wax.SetState:
		return "is a thick piece and liquid at once"
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

// covariance reports a finite matrix without negative variances that is
// symmetric but for rounding; only one half of it is stored.
func covariance(c [3][3]float64) bool {
	const rounding = 1e-9
	for i := range c {
		if !finite(c[i][:]...) || c[i][i] < 0 {
			return false
		}
		for j := range i {
			if math.Abs(c[i][j]-c[j][i]) > rounding*math.Sqrt(c[i][i]*c[j][j]) {
				return false
			}
		}
	}
	return true
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
