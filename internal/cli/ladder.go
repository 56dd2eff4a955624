package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

const ladderLong = `Space tints evenly between two doses: each is as many dE00 from the next. The
doses lie on a straight line from one to the other, so from undyed wax to a
recipe the dyes keep their proportion.

A dose is written as in a plan: "undyed", "Bracken 0.5 g/kg + Slate Hill 2
drops/kg". Both ends are counted among the steps.

With --json: wax, tints [{"dose" [{"dye", "g_per_kg"}], "shade",
"next_de00"}], notes. A shade is as setshade help predict tells; next_de00 is
the difference from the next tint, null for the last.`

func newLadder(a *app) *cobra.Command {
	var waxName string
	tints := 5
	cmd := &cobra.Command{
		Use:   "ladder FROM TO",
		Short: "Space tints evenly between two doses",
		Long:  ladderLong,
		Example: `  setshade ladder undyed "Bracken 2 g/kg" --steps 5
  setshade ladder "Bracken 0.5 g/kg" "Bracken 0.5 g/kg + Slate Hill 1 g/kg" --wax "Harrow Soy"`,
		Args:              twoDoses,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			if tints < 2 || tints > 100 {
				return &usageError{"--steps: a ladder has 2 to 100 tints, its ends with them", helpOf(cmd)}
			}
			var l workshop.Ladder
			err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				l, err = w.Ladder(cmd.Context(), waxName, args[0], args[1], tints)
				return err
			})
			if err != nil {
				return err
			}
			err = a.tell(tintsJSONOf(l), report.Ladder(a.colours(), l))
			a.notes(l.Notes)
			return err
		},
	}
	cmd.Flags().StringVar(&waxName, "wax", "", "`name` of the wax (else the only one on the shelf)")
	countFlag(cmd.Flags(), &tints, "steps", "how many tints, both ends counted")
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	return cmd
}

// twoDoses wants the two ends of a ladder.
func twoDoses(cmd *cobra.Command, args []string) error {
	if len(args) == 2 {
		return nil
	}
	return &usageError{
		"name two doses, each in quotes: where the ladder starts and where it ends",
		fmt.Sprintf(`%s undyed "Bracken 2 g/kg"`, cmd.CommandPath()),
	}
}

// tintsJSON is the shape of a ladder in JSON.
type tintsJSON struct {
	Wax   string     `json:"wax"`
	Tints []tintJSON `json:"tints"`
	Notes []string   `json:"notes"`
}

// tintJSON is the shape of one tint in JSON.
type tintJSON struct {
	Dose     []partJSON `json:"dose"`
	Shade    shadeJSON  `json:"shade"`
	NextDE00 *float64   `json:"next_de00"`
}

func tintsJSONOf(l workshop.Ladder) tintsJSON {
	j := tintsJSON{Wax: l.Wax.Name, Notes: orEmpty(l.Notes)}
	for i, s := range l.Tints {
		tint := tintJSON{Dose: doseJSON(s.Recipe), Shade: shadeJSONOf(s)}
		if i < len(l.StepsDE00) {
			tint.NextDE00 = &l.StepsDE00[i]
		}
		j.Tints = append(j.Tints, tint)
	}
	return j
}
