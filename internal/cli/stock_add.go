package cli

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/wax"
	"setshade/internal/workshop"
)

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
