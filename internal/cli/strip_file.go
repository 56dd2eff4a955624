package cli

import (
	"fmt"
	"strings"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// stripLights are the lights that the colours of a file may be for.
var stripLights = []spectrum.Illuminant{spectrum.D65, spectrum.D50}

const stripFileHelp = `The file is a table with commas: the line "patch, L, a, b", then one line for
each patch, numbered from 1. The colours are CIELAB, 2° observer, relative to
the white of D65, or with --light D50 of D50, as most instruments and charts
give them.`

// lightNamed finds a light of stripLights by its name.
func lightNamed(name string) (spectrum.Illuminant, error) {
	for _, l := range stripLights {
		if strings.EqualFold(l.String(), name) {
			return l, nil
		}
	}
	return 0, fmt.Errorf("%q is not a light that colours are given for here; it is D65 or D50", name)
}

func lightNames() []string {
	var names []string
	for _, l := range stripLights {
		names = append(names, l.String())
	}
	return names
}

// readStrip reads the colours of so many patches from a file.
func readStrip(path string, patches int, light spectrum.Illuminant) (wax.Strip, error) {
	text, err := readFile("file of colours", path, workshop.MaxStripBytes)
	if err != nil {
		return nil, err
	}
	strip, err := workshop.ParseStrip(string(text), patches, light)
	if err != nil {
		return nil, fmt.Errorf("the file of colours %s: %w", path, err)
	}
	return strip, nil
}
