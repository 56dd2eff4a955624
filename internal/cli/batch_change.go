package cli

import (
	"context"

	"github.com/spf13/cobra"

	"setshade/internal/workshop"
)

func newBatchChange(a *app) *cobra.Command {
	var r workshop.Remarks
	cmd := &cobra.Command{
		Use:   "change NUMBER",
		Short: "Add notes, lots or the drop that was read to a batch",
		Long: `Add notes, lots or the drop that was read to a batch of the log. A lot takes the
place of the one there was of the same thing, a swatch likewise; --no-swatch takes
the swatch off again.`,
		Example: `  setshade batch change 3 --note "frosted at the rim after a week"
  setshade batch change 3 --swatch 18 --colour Dusk`,
		Args:              numberedBatch.one,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := numberedBatch.number(cmd, args[0])
			if err != nil {
				return err
			}
			if err := checkRemarks(cmd, r); err != nil {
				return err
			}
			if len(r.Notes) == 0 && len(r.Lots) == 0 && r.SwatchID == 0 && !r.Unlink {
				return &usageError{"say what to add, with --note, --lot, --swatch or --no-swatch", helpOf(cmd)}
			}
			return a.showLogged(cmd, nil, func(ctx context.Context, w *workshop.Workshop) (workshop.Logged, error) {
				return w.ChangeBatch(ctx, id, r)
			})
		},
	}
	remarkFlags(cmd, &r)
	cmd.Flags().BoolVar(&r.Unlink, "no-swatch", false, "no drop was read of it")
	cmd.MarkFlagsMutuallyExclusive("swatch", "no-swatch")
	return cmd
}
