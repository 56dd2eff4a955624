package cli

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/report"
	"setshade/internal/units"
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

func newStockAdd(a *app) *cobra.Command {
	var aside workshop.Aside
	cmd := &cobra.Command{
		Use:   "add DOSE",
		Short: "Set dyed wax aside under a number of its own",
		Long: `Set dyed wax aside under a number of its own, to be written on its label.

A dose is written as in a plan; the mass counts wax, dye, fragrance and
additives, as the scale shows it.`,
		Example: `  setshade stock add "Bracken 4 g/kg" --mass "300 g" --note "jar on the left"
  setshade stock add "Bracken 1 chip/kg" --mass "1/2 lb" --load 8 --load-per wax --additive "Stearin 3%"`,
		Args:              oneName("dose", "Bracken 4 g/kg"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			aside.Dose = args[0]
			if aside.MassG <= 0 {
				return &usageError{`say how much of it there is, with --mass "300 g"`, helpOf(cmd)}
			}
			if err := checkLoad("load", aside.Load); err != nil {
				return &usageError{err.Error(), helpOf(cmd)}
			}
			aside.Load = settledLoad(aside.Load)
			return a.tellStock(cmd, func(w *workshop.Workshop) (wax.Stock, []string, error) {
				return w.AddStock(cmd.Context(), aside)
			})
		},
	}
	cmd.Flags().StringVar(&aside.Wax, "wax", "", "`name` of the wax (else the only one on the shelf)")
	asideFlags(cmd, &aside)
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	return cmd
}

// asideFlags adds the flags that describe dyed wax set aside.
func asideFlags(cmd *cobra.Command, aside *workshop.Aside) {
	flags := cmd.Flags()
	massFlag(flags, &aside.MassG, "mass", "all that there is of it in `g`, or with its unit")
	numberFlag(flags, &aside.Load.Percent, "load", "fragrance load in `%`; see --load-per")
	flags.StringVar((*string)(&aside.Load.Per), "load-per", "", "what the load is a share of: `wax|total`")
	additiveFlag(flags, &aside.Additives)
	flags.StringVar(&aside.Note, "note", "", "`remark`, such as where it stands")
	completeFlag(cmd, "load-per", cobra.FixedCompletions(waxKind.choices["load-per"], cobra.ShellCompDirectiveNoFileComp))
}

// additiveFlag adds the flag for what else is mixed in.
func additiveFlag(flags *pflag.FlagSet, additives *[]string) {
	flags.StringArrayVar(additives, "additive", nil, "`name and share` of the undyed wax of what else is mixed in, as \"Stearin 3%\"; give it again for each")
}

// settledLoad is the load with a convention even where there is no fragrance.
func settledLoad(l wax.Load) wax.Load {
	if l.Per == "" {
		l.Per = wax.PerWax
	}
	return l
}

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
