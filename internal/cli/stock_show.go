package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/wax"
)

func newStockShow(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "show NUMBER",
		Short: "Show what is on record of dyed wax set aside",
		Long: `Show what is on record of dyed wax set aside.

With --json: ` + stockJSONHelp + ".",
		Example:           "  setshade stock show 3",
		Args:              numberedStock.one,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			number, err := numberedStock.number(cmd, args[0])
			if err != nil {
				return err
			}
			var stock wax.Stock
			err = a.withStore(cmd.Context(), func(s *store.Store) (err error) {
				stock, err = s.Stock(cmd.Context(), number)
				return err
			})
			if err != nil {
				return err
			}
			return a.tell(stockJSONOf(stock), report.Stock(stock))
		},
	}
}
