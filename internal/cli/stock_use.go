package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/units"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

func newStockUse(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "use NUMBER GRAMS",
		Short: "Take from dyed wax set aside what was used",
		Long: `Take from dyed wax set aside what was used, as the scale showed it. What is used
up is taken off the list, and its number is not given again.`,
		Example: `  setshade stock use 3 210
  setshade stock use 3 "7 1/2 oz"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 2 {
				return &usageError{"name the stock by its number, and the grams that were used", cmd.CommandPath() + " 3 210"}
			}
			_, err := numberedStock.number(cmd, args[0])
			return err
		},
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			number, err := numberedStock.number(cmd, args[0])
			if err != nil {
				return err
			}
			used, err := units.Parse(args[1], units.Mass)
			if err != nil {
				return &usageError{err.Error(), cmd.CommandPath() + " 3 210"}
			}
			var taken wax.Stock
			var left *wax.Stock
			err = a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				taken, left, err = w.UseStock(cmd.Context(), number, used.Grams())
				return err
			})
			if err != nil {
				return err
			}
			return a.tell(stockUsedJSON{taken, left}, report.StockUsed(taken, left))
		},
	}
}

// stockUsedJSON is the shape of what was used of a stock in JSON.
type stockUsedJSON struct {
	Taken wax.Stock  `json:"taken"`
	Left  *wax.Stock `json:"left"`
}
