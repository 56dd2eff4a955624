package cli

import (
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

const rereadLong = `Read all photographs in the store again with this setshade's reader, and show what
would change. Do so after setshade was renewed, and after the strip of the printed
card was measured. With --accept the new numbers are put in place of the old ones:
of each photograph all of them or none. Learn the waxes again afterwards.

Numbers of swatches, their doses and marks for checking stay as they are. A
photograph that is lost, or refused now, keeps its old numbers; what a reader of
before is known to have read wrong is then a doubt of all its drops alike when they
are learned from. Nothing is replaced before all have been read: Ctrl-C leaves
everything as it was. With --bring-back the numbers, the anchors and what was
learned are again what they were before the last --accept; once more, and the new
ones are back.`

func newSwatchReread(a *app) *cobra.Command {
	var accept, bringBack bool
	cmd := &cobra.Command{
		Use:   "reread",
		Short: "Read the recorded photographs again with the present reader, and accept what it reads",
		Long:  rereadLong,
		Example: `  setshade swatch reread
  setshade swatch reread --accept
  setshade swatch reread --bring-back`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if bringBack {
				since, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (time.Time, error) { return w.BringBack(cmd.Context()) })
				if err != nil {
					return err
				}
				return a.tell(rereadJSON{BroughtBack: &since, Photos: []rereadPhotoJSON{}}, report.BroughtBack(since))
			}
			var done workshop.Reread
			err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				progress := a.progress()
				defer progress.End()
				done, err = w.Reread(cmd.Context(), !accept, func(n, of int) { progress.Step("reading photographs again", n, of) })
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
	cmd.Flags().BoolVar(&accept, "accept", false, "put the new numbers in place of the old")
	cmd.Flags().BoolVar(&bringBack, "bring-back", false, "put back what the last --accept replaced")
	cmd.MarkFlagsMutuallyExclusive("accept", "bring-back")
	return cmd
}
