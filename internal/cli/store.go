package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/store"
)

func newStore(a *app) *cobra.Command {
	group := newGroup("store", "The store itself: check, backup, export, import", "  setshade store check")
	group.AddCommand(newStoreCheck(a), newStoreBackup(a), newStoreExport(a), newStoreImport(a))
	return group
}

// onePlace wants exactly one file or folder.
func onePlace(noun, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 {
			return &usageError{"name one " + noun, cmd.CommandPath() + " " + example}
		}
		return nil
	}
}

// foldersOnly offers folders as the only argument.
func foldersOnly(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// movedJSON is the shape of an export or an import in JSON.
type movedJSON struct {
	Folder   string `json:"folder"`
	Waxes    int    `json:"waxes"`
	Dyes     int    `json:"dyes"`
	Moulds   int    `json:"moulds"`
	Photos   int    `json:"photographs"`
	Swatches int    `json:"swatches"`
	Batches  int    `json:"batches"`
	Stocks   int    `json:"stocks"`
}

func movedJSONOf(folder string, c store.Contents) movedJSON {
	return movedJSON{folder, len(c.Waxes), len(c.Dyes), len(c.Moulds), len(c.Photos), len(c.Swatches), len(c.Batches), len(c.Stocks)}
}
