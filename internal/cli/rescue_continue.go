package cli

import (
	"encoding/json"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

const rescueContinueLong = `Go on with a rescue that was kept by setshade rescue --save, once its next step is
done: what was to be added is in the pot, and a drop of it was read. The drop tells
more of the doses and of the dyes, and the rest of the answer is worked out anew.
Where more or less was added than the step told, say so with --added: undyed
wax by its mass alone, without the fragrance and additives that follow it, and a
dye by its mass, its chips or its drops; what is not named was added as told.
A drop that was followed already takes no step as done. One that cannot be of this
pot stops the answer; --believe drop goes on from it all the same. The file is rewritten for the step that comes then, whole or not at all.

The drop is "#d8a49b", three numbers L* a* b*, or "swatch 12".

With --json: ` + rescueJSONHelp

// mostRescueBytes is more than any rescue takes.
const mostRescueBytes = 1 << 20

func newRescueContinue(a *app) *cobra.Command {
	var drop, believe string
	var added []string
	var keepStock bool
	cmd := &cobra.Command{
		Use:   "continue FILE",
		Short: "Go on with a rescue after a drop was read",
		Long:  rescueContinueLong,
		Example: `  setshade rescue continue rescue.json --drop "swatch 13"
  setshade rescue continue rescue.json --drop "swatch 13" --added "undyed 120 g" --added "Bracken 2 chips"`,
		Args: oneName("saved rescue", "rescue.json"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if drop == "" {
				return &usageError{"say the colour of a drop taken after the step, with --drop", helpOf(cmd)}
			}
			if believe != "" && believe != string(workshop.BelieveDrop) {
				return &usageError{fmt.Sprintf("--believe: %q is not drop; to believe the pot, read another drop of it", believe), helpOf(cmd)}
			}
			data, err := readFile("rescue", args[0], mostRescueBytes)
			if err != nil {
				return err
			}
			course, err := workshop.ParseCourse(data)
			if err != nil {
				return fmt.Errorf("the rescue %s cannot be continued: %w", args[0], err)
			}
			var r workshop.Remedy
			err = a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				r, course, err = w.ContinueRescue(cmd.Context(), course, added, drop, workshop.Belief(believe))
				if err != nil {
					return err
				}
				r.Kept = args[0]
				if err := saveRescue(args[0], course); err != nil || !keepStock {
					return err
				}
				return w.KeepAside(cmd.Context(), &r)
			})
			if err != nil {
				return err
			}
			err = a.tell(remedyJSONOf(r), report.Remedy(a.colours(), r))
			a.notes(r.Notes)
			return err
		},
	}
	cmd.Flags().StringVar(&drop, "drop", "", "`colour` of a drop of the pot after the step")
	cmd.Flags().StringVar(&believe, "believe", "", "go on from a drop that cannot be of this pot: `drop`")
	cmd.Flags().StringArrayVar(&added, "added", nil, "`what and how much` was added, where it is not as told, as \"undyed 120 g\"; give it again for each")
	keepStockFlag(cmd.Flags(), &keepStock)
	return cmd
}

// saveRescue keeps a rescue in a file.
func saveRescue(path string, c workshop.Course) error {
	return writeWhole("rescue", path, func(w io.Writer) error {
		encoder := json.NewEncoder(w)
		encoder.SetIndent("", "  ")
		return encoder.Encode(c)
	})
}
