package cli

import (
	"fmt"

	"github.com/spf13/cobra"

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
