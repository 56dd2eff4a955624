package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

func newSwatchKeep(a *app) *cobra.Command {
	return a.swatchChange(change{
		verb: "keep", did: "Kept back",
		short: "Keep swatches back as checks, never learned from",
		long: `Keep swatches back as checks: they test predictions and are never learned from.
Learn the wax again afterwards.`,
		do: func(ctx context.Context, s *store.Store, ids []int64) error { return s.SetCheck(ctx, true, ids...) },
	})
}

func newSwatchUse(a *app) *cobra.Command {
	return a.swatchChange(change{
		verb: "use", did: "Used for learning",
		short: "Learn from swatches that were kept back",
		long: `Learn from swatches that were kept back as checks. Learn the wax again
afterwards.`,
		do: func(ctx context.Context, s *store.Store, ids []int64) error { return s.SetCheck(ctx, false, ids...) },
	})
}

func newSwatchRemove(a *app) *cobra.Command {
	return a.swatchChange(change{
		verb: "remove", did: "Removed",
		short: "Remove swatches",
		long: `Remove swatches. With the last swatch of a photograph the store's copy of the
photograph goes too; setshade undo brings both back, until something else is
changed. Unless all of them are there, none is removed.`,
		do: func(ctx context.Context, s *store.Store, ids []int64) error { return s.RemoveSwatches(ctx, ids...) },
	})
}

// change is something that is done to swatches by their numbers.
type change struct {
	verb, short, long string
	// did says it afterwards.
	did string
	do  func(ctx context.Context, s *store.Store, ids []int64) error
}

// changedJSON is the shape of a change of swatches or batches in JSON.
type changedJSON struct {
	Done    string  `json:"done"`
	Numbers []int64 `json:"numbers"`
}

func (a *app) swatchChange(c change) *cobra.Command {
	return &cobra.Command{
		Use:     c.verb + " NUMBER...",
		Short:   c.short,
		Long:    c.long,
		Example: fmt.Sprintf("  setshade swatch %s 12\n  setshade swatch %s 12 14-17", c.verb, c.verb),
		Args:    swatchNumbers,
		RunE: func(cmd *cobra.Command, args []string) error {
			ids, err := numbersOf(cmd, args)
			if err != nil {
				return err
			}
			err = a.withStore(cmd.Context(), func(s *store.Store) error { return c.do(cmd.Context(), s, ids) })
			if err != nil {
				return err
			}
			noun := "swatch"
			if len(ids) > 1 {
				noun = "swatches"
			}
			return a.tell(changedJSON{c.verb, ids}, fmt.Sprintf("%s %s %s\n", c.did, noun, strings.Join(args, ", ")))
		},
	}
}

func newSwatchChange(a *app) *cobra.Command {
	var dose string
	const long = "Correct the dose of a swatch, such as one that was weighed wrongly or written beside\nanother drop. Learn the wax again afterwards."
	cmd := numberedSwatch.command("change", "Correct the dose of a swatch", long, func(cmd *cobra.Command, id int64) error {
		if dose == "" {
			return &usageError{"say the dose that it has, with --dose", helpOf(cmd)}
		}
		var s wax.Swatch
		var notes []string
		err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
			s, notes, err = w.ChangeDose(cmd.Context(), id, dose)
			return err
		})
		if err != nil {
			return err
		}
		err = a.tell(changedJSON{"change", []int64{id}}, fmt.Sprintf("Changed swatch %d: %s\n", id, s.Recipe))
		a.notes(notes)
		return err
	})
	cmd.Example = `  setshade swatch change 12 --dose "Bracken 0.6 g/kg"`
	cmd.Flags().StringVar(&dose, "dose", "", "`dose` that it has, as in a plan")
	return cmd
}
