package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

func newStockList(a *app) *cobra.Command {
	return &cobra.Command{
		Use:     "list",
		Short:   "List the dyed wax set aside",
		Example: "  setshade stock list",
		Args:    noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			stocks, err := ask(cmd.Context(), a, func(w *workshop.Workshop) ([]wax.Stock, error) {
				return w.Store.Stocks(cmd.Context())
			})
			if err != nil {
				return err
			}
			if len(stocks) == 0 {
				a.note("No dyed wax is set aside.\ntry: setshade stock add --help")
			}
			return a.tell(map[string][]wax.Stock{"stocks": stocks}, report.Stocks(stocks))
		},
	}
}
