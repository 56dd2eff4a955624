package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/store"
	"setshade/internal/workshop"
)

func newStoreImport(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "import FOLDER",
		Short: "Fill a new store from an export",
		Long: `Fill a new, empty store from a folder that setshade store export wrote. All comes
back as it was, the numbers of swatches, batches and stocks too. A table that
cannot be read is refused with its line, and then nothing is kept.

` + missingHelp,
		Example:           "  setshade store import harrow-lane-export --store new.db",
		Args:              onePlace("folder with an export", "harrow-lane-export"),
		ValidArgsFunction: foldersOnly,
		RunE: func(cmd *cobra.Command, args []string) error {
			c, err := workshop.ReadExport(args[0])
			if err != nil {
				return err
			}
			var path string
			var found workshop.Checkup
			err = a.withNewStore(cmd.Context(), func(s *store.Store) (err error) {
				path = s.Path()
				w := workshop.Workshop{Store: s, Now: a.env.Now}
				found, err = w.Import(cmd.Context(), args[0], c)
				return err
			})
			if err != nil {
				return err
			}
			text := fmt.Sprintf("Imported %s to %s\n", movedText(c), path)
			return a.tellCopied("the store "+path, movedJSONOf(args[0], c, found.Lost), text, found)
		},
	}
}
