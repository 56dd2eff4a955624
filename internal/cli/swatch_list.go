package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

func newSwatchList(a *app) *cobra.Command {
	var f store.Filter
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the recorded swatches",
		Example: `  setshade swatch list
  setshade swatch list --dye "Bracken" --state set
  setshade swatch list --wax "Harrow Soy" --json`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if f.State != "" && f.State != wax.SetState && f.State != wax.LiquidState {
				return &usageError{fmt.Sprintf("--state: %q is not a state; it is set or liquid", f.State), helpOf(cmd)}
			}
			swatches, err := ask(cmd.Context(), a, func(w *workshop.Workshop) ([]wax.Swatch, error) {
				return w.Store.Swatches(cmd.Context(), f)
			})
			if err != nil {
				return err
			}
			if len(swatches) == 0 {
				a.note(noSwatches(f))
			}
			return a.tell(map[string][]swatchJSON{"swatches": swatchesJSON(swatches)}, report.Swatches(a.colours(), swatches))
		},
	}
	cmd.Flags().StringVar(&f.Wax, "wax", "", "only those in this wax, by `name`")
	cmd.Flags().StringVar(&f.Dye, "dye", "", "only those with this dye, by `name`, alone or with others")
	cmd.Flags().StringVar((*string)(&f.State), "state", "", "only those that were `set|liquid`")
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	completeFlag(cmd, "dye", dyeKind.offerNames(a))
	completeFlag(cmd, "state", cobra.FixedCompletions([]string{string(wax.SetState), string(wax.LiquidState)}, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

// noSwatches says why a list is empty.
func noSwatches(f store.Filter) string {
	if f.Wax == "" && f.Dye == "" && f.State == "" {
		return "No swatch has been recorded yet.\ntry: setshade record bracken.jpg"
	}
	return "No swatch is like that.\ntry: setshade swatch list"
}
