package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/store"
)

func newStockRemove(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "remove NUMBER",
		Short: "Take dyed wax off the list for good",
		Long: `Take dyed wax off the list for good, such as what was thrown away. Its number is
not given again.

With --json: {"done": "remove", "numbers": [...]}.`,
		Example:           "  setshade stock remove 3",
		Args:              numberedStock.one,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			number, err := numberedStock.number(cmd, args[0])
			if err != nil {
				return err
			}
			err = a.withStore(cmd.Context(), func(s *store.Store) error { return s.RemoveStock(cmd.Context(), number) })
			if err != nil {
				return err
			}
			return a.tell(changedJSON{"remove", []int64{number}}, fmt.Sprintf("Removed stock %d\n", number))
		},
	}
}
