package cli

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const rescueContinueLong = `Go on with a rescue of the store once its next step is done: what was to be added
is in the pot, and a drop of it was read. The drop tells more of the doses and of the
dyes, and the rest of the answer is worked out anew. Where more or less was added
than the step told, say so with --added: undyed wax by its mass alone, without the
fragrance and additives that follow it, and a dye by its mass, its chips or its
drops; what is not named was added as told. Without a drop, --added says what was
done, or "as told".

A drop that was followed already takes no step as done. One that cannot be of this
pot stops the answer; --believe drop goes on from it all the same. A step taken by
mistake is taken back by setshade rescue back.

A rescue that an older setshade kept in a file is named by that file; it is taken
into the store.

The drop is "#d8a49b", three numbers L* a* b*, or "swatch 12".`

// mostRescueBytes is more than any rescue takes.
const mostRescueBytes = 1 << 20

func newRescueContinue(a *app) *cobra.Command {
	var drop, believe string
	var added []string
	var keepStock bool
	cmd := &cobra.Command{
		Use:   "continue NUMBER",
		Short: "Go on with a rescue after a drop was read",
		Long:  rescueContinueLong,
		Example: `  setshade rescue continue 3 --drop "swatch 13"
  setshade rescue continue 3 --drop "swatch 13" --added "undyed 120 g" --added "Bracken 2 chips"
  setshade rescue continue 3 --added "as told"`,
		Args:              oneName("rescue", "3"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			if drop == "" && len(added) == 0 {
				return &usageError{"say the colour of a drop taken after the step with --drop, or what was added with --added", helpOf(cmd)}
			}
			if believe != "" && believe != string(workshop.BelieveDrop) {
				return &usageError{fmt.Sprintf("--believe: %q is not drop; to believe the pot, read another drop of it", believe), helpOf(cmd)}
			}
			var course workshop.Course
			number, err := strconv.ParseInt(args[0], 10, 64)
			if fromFile := err != nil; fromFile {
				data, err := readFile("rescue", args[0], mostRescueBytes)
				if err != nil {
					return err
				}
				if course, err = workshop.ParseCourse(data); err != nil {
					return fmt.Errorf("the rescue %s cannot be continued: %w", args[0], err)
				}
			}
			return a.tellRescue(cmd, func(w *workshop.Workshop) (r workshop.Remedy, err error) {
				if course.Version != 0 {
					if number, err = w.AdoptRescue(cmd.Context(), course); err != nil {
						return r, err
					}
				}
				return w.ContinueKept(cmd.Context(), number, added, drop, workshop.Belief(believe), keepStock)
			})
		},
	}
	cmd.Flags().StringVar(&drop, "drop", "", "`colour` of a drop of the pot after the step")
	cmd.Flags().StringVar(&believe, "believe", "", "go on from a drop that cannot be of this pot: `drop`")
	cmd.Flags().StringArrayVar(&added, "added", nil, "`what and how much` was added, where it is not as told, as \"undyed 120 g\"; give it again for each")
	keepStockFlag(cmd.Flags(), &keepStock)
	return cmd
}

// tellRescue does something with a rescue of the store and tells its answer.
func (a *app) tellRescue(cmd *cobra.Command, do func(*workshop.Workshop) (workshop.Remedy, error)) error {
	r, err := ask(cmd.Context(), a, do)
	if err != nil {
		return err
	}
	err = a.tell(remedyJSONOf(r), report.Remedy(a.colours(), r))
	a.notes(slices.Concat(converted(cmd.Flags()), r.Notes))
	return err
}

// oneRescue makes a command on the rescue of a number that tells its answer.
func oneRescue(a *app, name, short, long string, do func(*cobra.Command, *workshop.Workshop, int64) (workshop.Remedy, error)) *cobra.Command {
	return numberedRescue.command(name, short, long, func(cmd *cobra.Command, number int64) error {
		return a.tellRescue(cmd, func(w *workshop.Workshop) (workshop.Remedy, error) { return do(cmd, w, number) })
	})
}

func newRescueShow(a *app) *cobra.Command {
	return oneRescue(a, "show", "Tell a rescue again, as it stands", "Tell a rescue again, as it stands, and what came of it.",
		func(cmd *cobra.Command, w *workshop.Workshop, number int64) (workshop.Remedy, error) {
			return w.ShowRescue(cmd.Context(), number)
		})
}

func newRescueBack(a *app) *cobra.Command {
	return oneRescue(a, "back", "Take the last step of a rescue back",
		"Take the last step of a rescue back, such as one that was told twice. What was set\naside with it goes off the list of stock.",
		func(cmd *cobra.Command, w *workshop.Workshop, number int64) (workshop.Remedy, error) {
			return w.TakeRescueBack(cmd.Context(), number)
		})
}

func newRescueOutcome(a *app) *cobra.Command {
	var swatch int64
	var none bool
	cmd := oneRescue(a, "outcome", "Say which drop was read of the mended batch",
		"Say which set drop was read of the mended batch. It must be of its wax, its dyes\nand about its dose, and recorded since the rescue was begun. --none takes the drop\noff again.",
		func(cmd *cobra.Command, w *workshop.Workshop, number int64) (workshop.Remedy, error) {
			if none == (swatch > 0) {
				return workshop.Remedy{}, &usageError{"say which drop with --swatch, or --none", helpOf(cmd)}
			}
			return w.LinkRescue(cmd.Context(), number, swatch)
		})
	cmd.Example = "  setshade rescue outcome 3 --swatch 18"
	cmd.Flags().Int64Var(&swatch, "swatch", 0, "`number` of a set drop of it that was read")
	cmd.Flags().BoolVar(&none, "none", false, "no drop was read of it")
	return cmd
}

func newRescueList(a *app) *cobra.Command {
	const none = "No batch was rescued yet.\ntry: setshade rescue --help"
	shape := func(k workshop.KeptRescue) keptRescueJSON {
		pot := k.Course.Batch
		return keptRescueJSON{k.Number, k.BegunAt, k.Wax, pot.UndyedG, pot.Recipe, k.Course.Target.Colour.Lab, k.Followed(), k.Course.Next == nil, k.Outcome}
	}
	return listCommand(a, numberedRescue, "List the rescues, where each stands, and what came of it", "rescues", none, (*workshop.Workshop).Rescues, shape,
		func(all []workshop.KeptRescue) string { return report.Rescues(a.colours(), all) })
}

// keptRescueJSON is the shape of a kept rescue in JSON.
type keptRescueJSON struct {
	Number  int64             `json:"number"`
	BegunAt time.Time         `json:"begun_at"`
	Wax     string            `json:"wax"`
	UndyedG float64           `json:"undyed_g"`
	Dose    wax.Recipe        `json:"dose"`
	Target  spectrum.Lab      `json:"target"`
	Added   int               `json:"added"`
	Done    bool              `json:"done"`
	Outcome *workshop.Outcome `json:"outcome"`
}

func newRescueRemove(a *app) *cobra.Command {
	return numberedRescue.remove(a, "Forget a rescue", "Forget a rescue. What it set aside stays as stock.", (*store.Store).RemoveRescue)
}
