package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/wax"
	"setshade/internal/workshop"
)

func newStockChange(a *app) *cobra.Command {
	var aside workshop.Aside
	cmd := &cobra.Command{
		Use:   "change NUMBER",
		Short: "Correct what is on record of dyed wax set aside",
		Long: `Correct what is on record of dyed wax set aside; what is not given stays. What
was used is taken off with setshade stock use.`,
		Example: `  setshade stock change 3 --mass "280 g"
  setshade stock change 3 --dose "Bracken 4.5 g/kg" --note "jar on the right"`,
		Args:              numberedStock.one,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			number, err := numberedStock.number(cmd, args[0])
			if err != nil {
				return err
			}
			change, err := asideChange(cmd, &aside)
			if err != nil {
				return err
			}
			return a.tellStock(cmd, func(w *workshop.Workshop) (wax.Stock, []string, error) {
				return w.ChangeStock(cmd.Context(), number, change)
			})
		},
	}
	cmd.Flags().StringVar(&aside.Dose, "dose", "", "`dose` as in a plan")
	asideFlags(cmd, &aside)
	return cmd
}

// asideChange holds what the flags gave.
func asideChange(cmd *cobra.Command, aside *workshop.Aside) (workshop.AsideChange, error) {
	var c workshop.AsideChange
	given := cmd.Flags().Changed
	if given("mass") {
		c.MassG = &aside.MassG
	}
	if given("dose") {
		c.Dose = &aside.Dose
	}
	if given("load") || given("load-per") {
		if err := checkLoad("load", aside.Load); err != nil {
			return c, &usageError{err.Error(), helpOf(cmd)}
		}
		aside.Load = settledLoad(aside.Load)
		c.Load = &aside.Load
	}
	if given("additive") {
		c.Additives = &aside.Additives
	}
	if given("note") {
		c.Note = &aside.Note
	}
	if c == (workshop.AsideChange{}) {
		return c, &usageError{"say what to correct, with --mass, --dose, --load, --additive or --note", helpOf(cmd)}
	}
	return c, nil
}
