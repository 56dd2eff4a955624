package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

const predictLong = `Predict the set shade of a dose before pouring, with its interval: as a finished
piece, as a test drop on white card, and under three lights.

A dose is written as in a plan: each dye with its amount per kg of undyed wax, in
g/kg, mg/kg, chips/kg, drops/kg or %, or for each pound g/lb, oz/lb, chips/lb or
drops/lb, joined by +. The wax must have been learned; with one wax on the shelf
--wax may be left out.`

func newPredict(a *app) *cobra.Command {
	var waxName string
	cmd := &cobra.Command{
		Use:   "predict DOSE",
		Short: "Predict the set shade of a dose, with its interval",
		Long:  predictLong,
		Example: `  setshade predict "Bracken 0.5 g/kg"
  setshade predict "Bracken 0.5 g/kg + Slate Hill 2 chips/kg" --wax "Harrow Soy"`,
		Args:              oneName("dose", "Bracken 0.5 g/kg"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			f, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.Forecast, error) {
				return w.Predict(cmd.Context(), waxName, args[0])
			})
			if err != nil {
				return err
			}
			err = a.tell(f, report.Forecast(a.colours(), f))
			a.notes(f.Notes)
			return err
		},
	}
	cmd.Flags().StringVar(&waxName, "wax", "", "`name` of the wax (else the only one on the shelf)")
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	return cmd
}
