package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/store"
)

func newBatchRemove(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "remove NUMBER",
		Short: "Take a batch out of the log for good",
		Long: `Take a batch out of the log for good. Its swatches stay, and its number is not
given again.

With --json: {"done": "remove", "numbers": [...]}.`,
		Example:           "  setshade batch remove 3",
		Args:              numberedBatch.one,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := numberedBatch.number(cmd, args[0])
			if err != nil {
				return err
			}
			err = a.withStore(cmd.Context(), func(s *store.Store) error { return s.RemoveBatch(cmd.Context(), id) })
			if err != nil {
				return err
			}
			return a.tell(changedJSON{"remove", []int64{id}}, fmt.Sprintf("Removed batch %d\n", id))
		},
	}
}
