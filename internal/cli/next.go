package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

const nextLong = `Rank the test drops worth making next, by how much surer each would make the
shades that you want to pour.

Without --for, what is wanted is everything on the shelf: each learned dye from
its lowest to its highest dose tested, and every two dyes together. Doses are
such as can be measured out: quarters of a chip, whole drops, or tidy grams, for
each kg of undyed wax and within each dye's maximum. Of the same dyes at most two
drops are shown.`

func newNext(a *app) *cobra.Command {
	var waxName string
	var doses []string
	cmd := &cobra.Command{
		Use:   "next",
		Short: "Rank the test drops worth making next",
		Long:  nextLong,
		Example: `  setshade next
  setshade next --wax "Harrow Soy" --for "Bracken 0.5 g/kg" --for "Bracken 1 g/kg + Foxglove 0.2 g/kg"`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			n, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.NextDrops, error) {
				return w.Next(cmd.Context(), waxName, doses)
			})
			if err != nil {
				return err
			}
			err = a.tell(n, report.Next(n))
			a.notes(n.Notes)
			return err
		},
	}
	cmd.Flags().StringVar(&waxName, "wax", "", "`name` of the wax (else the only one on the shelf)")
	cmd.Flags().StringArrayVar(&doses, "for", nil, "`dose` you want to make, as in a plan; give it again for each (else everything)")
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	completeFlag(cmd, "for", cobra.NoFileCompletions)
	return cmd
}
