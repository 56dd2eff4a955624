package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/shade"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const ladderLong = `Space tints evenly between two doses: each is as many dE00 from the next. The
doses lie on a straight line from one to the other, so from undyed wax to a
recipe the dyes keep their proportion.

A dose is written as in a plan: "undyed", "Bracken 0.5 g/kg + Slate Hill 2
drops/kg". Both ends are counted among the steps.

With --batch the dyes of each tint are also told in whole chips, drops and 0.01 g,
and what that rounding costs.`

func newLadder(a *app) *cobra.Command {
	var waxName string
	var undyedG float64
	tints := 5
	cmd := &cobra.Command{
		Use:   "ladder FROM TO",
		Short: "Space tints evenly between two doses",
		Long:  ladderLong,
		Example: `  setshade ladder undyed "Bracken 2 g/kg" --steps 5
  setshade ladder undyed "Bracken 2 g/kg" --batch "300 g"
  setshade ladder "Bracken 0.5 g/kg" "Bracken 0.5 g/kg + Slate Hill 1 g/kg" --wax "Harrow Soy"`,
		Args:              twoDoses,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			if tints < 2 || tints > 100 {
				return &usageError{"--steps: a ladder has 2 to 100 tints, its ends with them", helpOf(cmd)}
			}
			if cmd.Flags().Changed("batch") && undyedG == 0 {
				return &usageError{"--batch: 0 g of wax cannot be dyed; leave the flag out, or give the wax of each tint", helpOf(cmd)}
			}
			l, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.Ladder, error) {
				return w.Ladder(cmd.Context(), waxName, args[0], args[1], tints, undyedG)
			})
			if err != nil {
				return err
			}
			err = a.tell(tintsJSONOf(l), report.Ladder(a.colours(), l))
			a.notes(append(converted(cmd.Flags()), l.Notes...))
			return err
		},
	}
	cmd.Flags().StringVar(&waxName, "wax", "", "`name` of the wax (else the only one on the shelf)")
	countFlag(cmd.Flags(), &tints, "steps", "how many tints, both ends counted")
	massFlag(cmd.Flags(), &undyedG, "batch", "undyed wax of each tint in `g`, or with its unit: also tells the dyes in whole chips, drops and 0.01 g")
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
	workshop.Ladder
	Tints []tintJSON `json:"tints"`
}

// tintJSON is the shape of one tint in JSON.
type tintJSON struct {
	Dose     wax.Recipe            `json:"dose"`
	Shade    shade.Shade           `json:"shade"`
	NextDE00 *float64              `json:"next_de00" means:"from the next tint"`
	Measured *workshop.RoundedTint `json:"measured"`
}

func tintsJSONOf(l workshop.Ladder) tintsJSON {
	j := tintsJSON{Ladder: l}
	for i, s := range l.Tints {
		tint := tintJSON{Dose: s.Recipe, Shade: s}
		if i < len(l.StepsDE00) {
			tint.NextDE00 = &l.StepsDE00[i]
		}
		if l.Rounded != nil {
			tint.Measured = &l.Rounded[i]
		}
		j.Tints = append(j.Tints, tint)
	}
	return j
}
