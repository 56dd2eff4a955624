package workshop

import (
	"fmt"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
)

// offUnderLights warns of each light under which a shade lies out of tolerance
// of its target, though in daylight it lies within. A target that is a swatch of
// learned dyes is taken as it looks under that light itself; any other colour as
// one that looks the same under every light.
func offUnderLights(m *calibrate.Model, s shade.Shade, target named, toleranceDE00 float64) []string {
	if spectrum.DE00(s.Lab, target.lab) > toleranceDE00 {
		return nil
	}
	looks := make([]spectrum.Lab, len(s.Lights))
	for i := range looks {
		looks[i] = target.lab
	}
	if target.recipe != nil {
		if own, err := shade.Of(m, target.recipe, target.view); err == nil {
			for i, l := range own.Lights {
				looks[i] = l.Lab
			}
		}
	}
	var out []string
	for i, l := range s.Lights {
		if off := spectrum.DE00(l.Lab, looks[i]); l.Light != spectrum.D65 && off > toleranceDE00 {
			out = append(out, fmt.Sprintf("under %s it looks %.1f dE00 away from its target, though in daylight it keeps it; judge them together under the light they will be seen in", LightName(l.Light), off))
		}
	}
	return out
}
