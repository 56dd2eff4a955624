package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/english"
	"setshade/internal/store"
	"setshade/internal/workshop"
)

func newStoreExport(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "export FOLDER",
		Short: "Write everything in open formats",
		Long: `Write everything in the store to a new folder: a CSV file for each table, the
same as JSON, the colours of the swatches as CGATS.17 text, the photographs and
their plans. COLUMNS.txt in it says what every column means, with its unit.

` + missingHelp + `
MISSING.txt in the folder names it too.`,
		Example:           "  setshade store export harrow-lane-export",
		Args:              onePlace("new folder", "harrow-lane-export"),
		ValidArgsFunction: foldersOnly,
		RunE: func(cmd *cobra.Command, args []string) error {
			var c store.Contents
			var found workshop.Checkup
			err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				c, found, err = w.Export(cmd.Context(), args[0])
				return err
			})
			if err != nil {
				return err
			}
			text := fmt.Sprintf("Exported %s to %s; COLUMNS.txt explains the tables\n", movedText(c), args[0])
			return a.tellCopied("the export "+args[0], movedJSONOf(args[0], c, found.Lost), text, found)
		},
	}
}

// movedText counts what matters most of what was exported or imported.
func movedText(c store.Contents) string {
	return english.Count(len(c.Swatches), "swatch", "swatches") + " of " + english.Count(len(c.Photos), "photograph", "photographs")
}
