package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
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
			stock, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (wax.Stock, error) {
				return w.Store.Stock(cmd.Context(), number)
			})
			if err != nil {
				return err
			}
			return a.tell(stockJSONOf(stock), report.Stock(stock))
		},
	}
}
