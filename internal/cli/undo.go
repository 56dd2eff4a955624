package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/store"
)

const undoLong = `Take back the last change of the store, whatever it was: a swatch, batch, stock or
rescue, a dye or wax on the shelf, what was learned. A second undo takes the first
one back. What changes nothing leaves the change before to be undone; only one
change is kept. Photographs that were removed are kept until then.`

func newUndo(a *app) *cobra.Command {
	var dryRun bool
	cmd := &cobra.Command{
		Use:     "undo",
		Short:   "Take back the last change of the store",
		Long:    undoLong,
		Example: "  setshade undo --dry-run",
		Args:    noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			var what string
			err := a.withStore(cmd.Context(), func(s *store.Store) (err error) {
				if dryRun {
					what, err = s.LastChange(cmd.Context())
					return err
				}
				what, err = s.Undo(cmd.Context())
				return err
			})
			switch {
			case err != nil:
				return err
			case dryRun && what == "":
				return a.tell(lastChangeJSON{}, "There is nothing to undo.\n")
			case dryRun:
				return a.tell(lastChangeJSON{what}, fmt.Sprintf("Would undo: %s\n", what))
			}
			return a.tell(undoneJSON{what}, fmt.Sprintf("Undone: %s\n", what))
		},
	}
	cmd.Flags().BoolVar(&dryRun, "dry-run", false, "only tell what would be undone")
	return cmd
}

type undoneJSON struct {
	Undone string `json:"undone" means:"what it was, in words"`
}

type lastChangeJSON struct {
	LastChange string `json:"last_change" means:"empty for none"`
}
