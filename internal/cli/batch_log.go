package cli

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

const batchLogLong = `Keep what was poured: wax, colours with the dyes as they were measured out,
masses, load, lots and notes, and the shades promised where they were learned.

It takes what setshade batch takes, and plans the batch in the same way; the
doses kept are those that whole chips, drops and 0.01 g reach. What was weighed
otherwise is told by --weighed, a dye or undyed wax with its amount, after the name
of its colour and a colon where there are several; far from the plan it asks. Lots on the
record of the dyes are kept with it; --lot adds others, or takes their place.

Read a drop of the batch later with setshade record, and name it with setshade
batch change --swatch: what was promised and what came of it then stand beside
each other, and the drop teaches the next prediction.`

func newBatchLog(a *app) *cobra.Command {
	var p workshop.PouredOrder
	var poured string
	cmd := &cobra.Command{
		Use:   "log COLOUR...",
		Short: "Keep what was poured",
		Long:  batchLogLong,
		Example: `  setshade batch log "Bracken 0.5 g/kg" --mould "Twelve hearts" --times 2
  setshade batch log "Bracken 2 g/kg" --pieces 24 --piece-mass 40 --poured 2026-03-01
  setshade batch log undyed --scoops 3 --scoop-mass 55 --lot "fragrance = F-220" --note "cool"`,
		Args:              someColours,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			p.Colours = args
			if err := checkOrder(cmd, &p.Order); err != nil {
				return err
			}
			if err := checkRemarks(cmd, p.Remarks); err != nil {
				return err
			}
			if poured != "" {
				var err error
				if p.PouredAt, err = dayOf(poured, a.env.Now().Location()); err != nil {
					return &usageError{"--poured: " + err.Error(), helpOf(cmd)}
				}
			}
			return a.showLogged(cmd, converted(cmd.Flags()), func(ctx context.Context, w *workshop.Workshop) (workshop.Logged, error) {
				return w.LogBatch(ctx, p)
			})
		},
	}
	orderFlags(a, cmd, &p.Order)
	cmd.Flags().StringArrayVar(&p.Weighed, "weighed", nil, "`what and how much` was weighed, where it is not as planned: \"Bracken 3 chips\", \"Dusk: undyed 480 g\"")
	cmd.Flags().BoolVar(&p.AsWeighed, "as-weighed", false, "keep what was weighed however far it is from the plan")
	cmd.Flags().StringVar(&poured, "poured", "", "`day` it was poured, like 2026-03-01 (else now)")
	remarkFlags(cmd, &p.Remarks)
	return cmd
}

// remarkFlags adds the flags that add to a batch of the log.
func remarkFlags(cmd *cobra.Command, r *workshop.Remarks) {
	flags := cmd.Flags()
	flags.StringArrayVar(&r.Notes, "note", nil, "`remark` to keep")
	flags.StringArrayVar(&r.Lots, "lot", nil, "`lot` of what went in: \"Bracken = HL-B14\"")
	flags.Int64Var(&r.SwatchID, "swatch", 0, "`number` of a set drop of it that was read")
	flags.StringVar(&r.Colour, "colour", "", "`name` of the colour the swatch is of")
}

// checkRemarks refuses flags that leave open what is meant.
func checkRemarks(cmd *cobra.Command, r workshop.Remarks) error {
	given := cmd.Flags().Changed
	switch {
	case given("swatch") && r.SwatchID < 1:
		return &usageError{fmt.Sprintf("--swatch: %d is not the number of a swatch; write one like 12", r.SwatchID), helpOf(cmd)}
	case given("colour") && !given("swatch") && !r.Unlink:
		return &usageError{"--colour says which colour a --swatch is of; give both", helpOf(cmd)}
	}
	return nil
}

// dayOf reads a day, or a day with its hour, as the maker's clock tells it.
func dayOf(text string, here *time.Location) (time.Time, error) {
	for _, layout := range []string{"2006-01-02", "2006-01-02 15:04"} {
		if at, err := time.ParseInLocation(layout, text, here); err == nil {
			return at, nil
		}
	}
	return time.Time{}, fmt.Errorf("%.40q is not a day; write one like 2026-03-01, or 2026-03-01 14:30", text)
}

// showLogged does something with a batch of the log and shows it.
func (a *app) showLogged(cmd *cobra.Command, notes []string, do func(context.Context, *workshop.Workshop) (workshop.Logged, error)) error {
	logged, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.Logged, error) {
		return do(cmd.Context(), w)
	})
	if err != nil {
		return err
	}
	err = a.tell(loggedJSONOf(logged), report.LoggedBatch(a.colours(), logged))
	a.notes(append(notes, logged.Said...))
	return err
}
