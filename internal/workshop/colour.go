package workshop

import (
	"context"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// named is a colour that the maker named, with the piece of wax it is of.
type named struct {
	lab  spectrum.Lab
	view calibrate.View
	// recipe is that of the swatch named; nil for other colours.
	recipe wax.Recipe
}

// hexDigits are a colour without its mark.
var hexDigits = regexp.MustCompile(`^(?i:[0-9a-f]{3}){1,2}$`)

// colour reads a colour as a maker writes it: "#d8a49b" or "d8a49b", "L* a* b*" as three
// numbers, or "swatch 12". A swatch is a drop on its card; the others are taken
// as the shade of a finished piece.
func (w *Workshop) colour(ctx context.Context, text string) (named, error) {
	words := strings.Fields(text)
	switch {
	case len(words) == 1 && (strings.HasPrefix(words[0], "#") || hexDigits.MatchString(words[0])):
		lab, err := spectrum.LabOfHex("#" + strings.TrimPrefix(words[0], "#"))
		return named{lab: lab, view: calibrate.View{Thick: true}}, err
	case len(words) == 2 && strings.EqualFold(words[0], "swatch"):
		return w.swatchColour(ctx, words[1])
	case len(words) == 3:
		return labColour(words)
	}
	return named{}, fmt.Errorf(`%q is not a colour; write "#d8a49b", three numbers L* a* b*, or "swatch 12"`, text)
}

func (w *Workshop) swatchColour(ctx context.Context, number string) (named, error) {
	id, err := strconv.ParseInt(number, 10, 64)
	if err != nil {
		return named{}, fmt.Errorf("%q is not the number of a swatch", number)
	}
	s, err := w.Store.Swatch(ctx, id)
	if err != nil {
		return named{}, err
	}
	if s.State != wax.SetState {
		return named{}, fmt.Errorf("swatch %d is a liquid drop, and liquid wax is darker than it will be; take a set drop", id)
	}
	return named{lab: s.Colour.Lab, view: calibrate.View{Card: s.Card}, recipe: s.Recipe}, nil
}

func labColour(words []string) (named, error) {
	var v [3]float64
	for i, word := range words {
		n, err := plan.ParseNumber(word)
		if err != nil {
			return named{}, err
		}
		v[i] = n
	}
	lab := spectrum.LabOf(v)
	if lab.L < 0 || lab.L > 100 || lab.A < -150 || lab.A > 150 || lab.B < -150 || lab.B > 150 {
		return named{}, fmt.Errorf("L* %g a* %g b* %g is no colour of wax; L* lies between 0 and 100, a* and b* within ±150", lab.L, lab.A, lab.B)
	}
	return named{lab: lab, view: calibrate.View{Thick: true}}, nil
}
