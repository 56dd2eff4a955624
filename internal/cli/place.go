package cli

import (
	"fmt"
	"strings"

	"setshade/internal/photo"
	"setshade/internal/plan"
)

// placeOf reads a place of a photograph: "812,430" or "812,430,20" in pixels, or
// "40%,55%,3%" in percent of the picture.
func placeOf(text string) (photo.Place, error) {
	refused := fmt.Errorf(`%.40q is not a place of a photograph; write its middle from the upper left corner and, if you like, a radius: "812,430,20" in pixels, or "40%%,55%%,3%%" of the picture`, text)
	parts := strings.Split(text, ",")
	if len(parts) < 2 || len(parts) > 3 {
		return photo.Place{}, refused
	}
	var v [3]float64
	percents := 0
	for i, part := range parts {
		number, isPercent := strings.CutSuffix(strings.TrimSpace(part), "%")
		if isPercent {
			percents++
		}
		var err error
		if v[i], err = plan.ParseNumber(strings.TrimSpace(number)); err != nil {
			return photo.Place{}, refused
		}
	}
	if percents != 0 && percents != len(parts) {
		return photo.Place{}, refused
	}
	if len(parts) == 3 && v[2] <= 0 {
		return photo.Place{}, refused
	}
	return photo.Place{X: v[0], Y: v[1], Radius: v[2], Percent: percents > 0}, nil
}
