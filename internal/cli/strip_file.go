package cli

import (
	"errors"

	"github.com/spf13/cobra"

	"setshade/internal/spectrum"
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

func lightNames() []string {
	var names []string
	for _, l := range workshop.StripLights() {
		names = append(names, l.String())
	}
	return names
}

// openColours reads a file of colours for the light given, or that the file says when
// none is.
func openColours(path string, light *spectrum.Illuminant) (workshop.ColourFile, error) {
	text, err := readFile("file of colours", path, workshop.MaxStripBytes)
	return workshop.ColourFile{Name: path, Text: string(text), Light: light}, err
}

// askForLight names the flag that was missing.
func askForLight(err error) error {
	if errors.As(err, new(*workshop.LightUnsaid)) {
		return &usageError{err.Error(), "--light D50, or --light D65"}
	}
	return err
}
