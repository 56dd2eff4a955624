package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

const rereadLong = `Read all photographs in the store again with this setshade's reader, and put the
new numbers in place of the old ones: of each photograph all of them or none. Do
so after setshade was renewed, and after the strip of the printed card was
measured.

Numbers of swatches, their doses and marks for checking stay as they are. A
photograph that is refused now keeps its old numbers. Nothing is replaced before
all have been read: Ctrl-C leaves everything as it was. Learn the waxes again
afterwards.

With --json: replaced, photos [{"name", "sha256", "refused",
"old_reader_version", "reader_version", "correction", "quality", "median_de00",
"worst_de00", "drops": [{"number", "drop", "lab_before", "lab", "change_de00"}],
"notes"}]. Refused says why the old numbers stay, null when they don't;
correction and quality have the shape that setshade help record tells.`

func newSwatchReread(a *app) *cobra.Command {
	var dryRun bool
	cmd := &cobra.Command{
		Use:   "reread",
		Short: "Read the recorded photographs again with the present reader",
		Long:  rereadLong,
		Example: `  setshade swatch reread --dry-run
  setshade swatch reread`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			var done workshop.Reread
			err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				progress := a.progress()
				defer progress.End()
				done, err = w.Reread(cmd.Context(), dryRun, func(n, of int) { progress.Step("reading photographs again", n, of) })
				return err
			})
			if err != nil {
				return err
			}
			if len(done.Photos) == 0 {
				a.note("There are no photographs in the store.\ntry: setshade record bracken.jpg")
			}
			return a.tell(rereadJSONOf(done), report.Reread(done))
		},
	}
	cmd.Flags().BoolVar(&dryRun, "dry-run", false, "read and tell what would change, change nothing")
	return cmd
}
