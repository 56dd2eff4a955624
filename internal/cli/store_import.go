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
back as it was, the numbers of swatches, batches and stocks too. A file that cannot be
read is refused with its line, and then nothing is kept.

With --json: {"folder", "waxes", "dyes", "moulds", "photographs", "swatches",
"batches", "stocks"}, the numbers of each.`,
		Example:           "  setshade store import harrow-lane-export --store new.db",
		Args:              onePlace("folder with an export", "harrow-lane-export"),
		ValidArgsFunction: foldersOnly,
		RunE: func(cmd *cobra.Command, args []string) error {
			c, err := workshop.ReadExport(args[0])
			if err != nil {
				return err
			}
			var path string
			err = a.withNewStore(cmd.Context(), func(s *store.Store) error {
				path = s.Path()
				w := workshop.Workshop{Store: s, Now: a.env.Now}
				return w.Import(cmd.Context(), args[0], c)
			})
			if err != nil {
				return err
			}
			return a.tell(movedJSONOf(args[0], c), fmt.Sprintf("Imported %s to %s\n", movedText(c), path))
		},
	}
}
