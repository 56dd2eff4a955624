package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/store"
	"setshade/internal/workshop"
)

func newStoreBackup(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE|FOLDER",
		Short: "Copy the store and its photographs, and check the copy",
		Long: `Copy the store as it is at this moment to a new file, with its photographs in a
folder beside it; into a folder that is there, under the store's name with the
day and time. The copy is a store as well: name it with --store, and move the
file and photos/NAME beside it together. It is checked as the store itself is, and has
its name only when all is written. Others may go on recording.

` + missingHelp + `

What is wrong in the store is wrong in the copy, and is named as setshade store check
names it.`,
		Example: `  setshade store backup /media/stick
  setshade store backup harrow-lane.db`,
		Args: onePlace("file or folder for the copy", "harrow-lane.db"),
		RunE: func(cmd *cobra.Command, args []string) error {
			var made string
			var found workshop.Checkup
			err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				made, found, err = w.BackUp(cmd.Context(), args[0])
				return err
			})
			if err != nil {
				return err
			}
			j := backupJSON{made, lostJSONOf(found.Lost), found.Damage()}
			return a.tellCopied("the copy "+made, j, fmt.Sprintf("Copied the store to %s, and checked the copy\n", made), found)
		},
	}
}

// backupJSON is the shape of a copy of the store in JSON.
type backupJSON struct {
	Backup   string     `json:"backup"`
	Missing  []lostJSON `json:"missing"`
	Problems []string   `json:"problems"`
}

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
