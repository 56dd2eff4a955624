package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"setshade/internal/store"
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
