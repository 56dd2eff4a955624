package workshop

import (
	"fmt"
	"strings"

	"setshade/internal/chart"
	"setshade/internal/english"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// ColourFile is a file of measured colours as the maker hands it over; see ParseStrip
// for what stands in it.
type ColourFile struct {
	Name, Text string
	// Light is the one that the colours are for; nil where the file says it.
	Light *spectrum.Illuminant
}

// LightUnsaid is a file of colours of which neither it nor the maker says the light.
type LightUnsaid struct{ File string }

// Error implements error.
func (e *LightUnsaid) Error() string {
	return fmt.Sprintf("say which light the colours of %s are for; most instruments and charts give them for D50", e.File)
}

// LightNamed finds a light that colours may be for by its name; nil without a name.
func LightNamed(name string) (*spectrum.Illuminant, error) {
	if name == "" {
		return nil, nil
	}
	for _, l := range StripLights() {
		if strings.EqualFold(l.String(), name) {
			return &l, nil
		}
	}
	return nil, fmt.Errorf("%.40q is not a light that colours are given for here; it is D65 or D50", name)
}

// Strip reads the colours of so many patches. It fails with a *LightUnsaid, and where
// the file says another light than the maker.
func (f ColourFile) Strip(patches int) (wax.Strip, error) {
	if len(f.Text) > MaxStripBytes {
		return nil, fmt.Errorf("the file of colours %s has more than the %d KB read here; check that it is the right file", f.Name, MaxStripBytes>>10)
	}
	if strings.Contains(f.Text, "\x00") {
		return nil, fmt.Errorf("the file of colours %s is not a table in plain text; save it as CSV", f.Name)
	}
	light, ok := StatedLight(f.Text)
	switch {
	case f.Light == nil && !ok:
		return nil, &LightUnsaid{f.Name}
	case f.Light != nil && ok && *f.Light != light:
		return nil, fmt.Errorf("the file of colours %s says that they are for %s, not for %s; leave the light out, or correct the file", f.Name, light, *f.Light)
	case f.Light != nil:
		light = *f.Light
	}
	strip, err := ParseStrip(f.Text, patches, light)
	if err != nil {
		return nil, fmt.Errorf("the file of colours %s: %w", f.Name, err)
	}
	return strip, nil
}

// Chart reads the colours of a chart, all of whose patches must be there.
func (f ColourFile) Chart() (Chart, error) {
	colours, err := f.Strip(chart.Patches)
	if err != nil {
		return Chart{}, err
	}
	if n := colours.Sound(); n < chart.Patches {
		return Chart{}, fmt.Errorf("the file of colours %s has %s; a chart needs all %d", f.Name, english.Count(n, "patch", "patches"), chart.Patches)
	}
	return Chart{Colours: colours, Source: "those of " + f.Name}, nil
}
