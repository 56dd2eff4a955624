package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const stripFileHelp = `The file is a table with commas: the line "patch, L, a, b", then one line for
each patch, numbered from 1. The colours are CIELAB, 2° observer, relative to
the white of the --light: most instruments and charts give them for D50. A file
that says it, in a comment "# D50" or a column light, needs no --light.`

// lightFlag adds the flag for the light of a file of colours.
func lightFlag(cmd *cobra.Command, light *string) {
	cmd.Flags().StringVar(light, "light", "", "light that the colours of the file are for: `D50|D65`")
	completeFlag(cmd, "light", cobra.FixedCompletions(lightNames(), cobra.ShellCompDirectiveNoFileComp))
}

// lightNamed finds a light that colours may be for by its name; nil without a name.
func lightNamed(name string) (*spectrum.Illuminant, error) {
	if name == "" {
		return nil, nil
	}
	for _, l := range workshop.StripLights() {
		if strings.EqualFold(l.String(), name) {
			return &l, nil
		}
	}
	return nil, fmt.Errorf("%q is not a light that colours are given for here; it is D65 or D50", name)
}

func lightNames() []string {
	var names []string
	for _, l := range workshop.StripLights() {
		names = append(names, l.String())
	}
	return names
}

// readStrip reads the colours of so many patches from a file, for the light given, or
// that the file says when none is.
func readStrip(path string, patches int, light *spectrum.Illuminant) (wax.Strip, error) {
	text, err := readFile("file of colours", path, workshop.MaxStripBytes)
	if err != nil {
		return nil, err
	}
	stated, ok := workshop.StatedLight(string(text))
	switch {
	case light == nil && !ok:
		return nil, &usageError{
			fmt.Sprintf("say which light the colours of %s are for; most instruments and charts give them for D50", path), "--light D50, or --light D65",
		}
	case light == nil:
		light = &stated
	case ok && *light != stated:
		return nil, fmt.Errorf("the file of colours %s says that they are for %s, not for %s; leave --light out, or correct the file", path, stated, *light)
	}
	strip, err := workshop.ParseStrip(string(text), patches, *light)
	if err != nil {
		return nil, fmt.Errorf("the file of colours %s: %w", path, err)
	}
	return strip, nil
}
