package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/wax"
)

func newSwatchShow(a *app) *cobra.Command {
	return &cobra.Command{
		Use:     "show NUMBER",
		Short:   "Show everything known of a swatch",
		Example: "  setshade swatch show 12",
		Args:    oneSwatch,
		RunE: func(cmd *cobra.Command, args []string) error {
			ids, err := numbersOf(cmd, args)
			if err != nil {
				return err
			}
			var swatch wax.Swatch
			var base wax.Wax
			err = a.withStore(cmd.Context(), func(s *store.Store) (err error) {
				if swatch, err = s.Swatch(cmd.Context(), ids[0]); err == nil {
					base, err = s.Waxes.Get(cmd.Context(), swatch.Wax)
				}
				return err
			})
			if err != nil {
				return err
			}
			shown := shownSwatchJSON{swatchJSONOf(swatch), base.DropThicknessMM(swatch.MassG, swatch.DiameterMM)}
			return a.tell(shown, report.Swatch(a.colours(), base, swatch))
		},
	}
}

// shownSwatchJSON is the shape of one swatch in JSON; thickness_mm is null where mass
// or diameter is not known.
type shownSwatchJSON struct {
	swatchJSON
	ThicknessMM float64 `json:"thickness_mm" zero:"null"`
}

// oneSwatch wants the number of one swatch.
func oneSwatch(cmd *cobra.Command, args []string) error {
	if err := swatchNumbers(cmd, args); err != nil {
		return err
	}
	if ids, _ := numbersOf(cmd, args); len(ids) > 1 {
		return &usageError{"one swatch at a time", cmd.CommandPath() + " 12"}
	}
	return nil
}
