package cli

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

func newSwatch(a *app) *cobra.Command {
	group := newGroup("swatch", "Recorded drops: list, show, change, keep, use, read again, remove", "  setshade swatch list")
	group.AddCommand(newSwatchList(a), newSwatchShow(a), newSwatchChange(a), newSwatchKeep(a), newSwatchUse(a), newSwatchReread(a), newSwatchRemove(a))
	return group
}

// mostNumbers is how many swatches one command may name.
const mostNumbers = 10000

// swatchNumbers wants one or more numbers of swatches, or ranges of them.
func swatchNumbers(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{"name the swatches by their numbers", cmd.CommandPath() + " 12"}
	}
	_, err := numbersOf(cmd, args)
	return err
}

// numbersOf reads "12" and "14-17".
func numbersOf(cmd *cobra.Command, args []string) ([]int64, error) {
	var ids []int64
	for _, arg := range args {
		from, to, isRange := strings.Cut(arg, "-")
		if !isRange {
			to = from
		}
		first, err1 := strconv.ParseInt(from, 10, 64)
		last, err2 := strconv.ParseInt(to, 10, 64)
		if err1 != nil || err2 != nil || first < 1 || last < first || last-first >= mostNumbers {
			return nil, &usageError{fmt.Sprintf("%q is not the number of a swatch; write one like 12, or several like 12-17", arg), cmd.CommandPath() + " 12"}
		}
		for id := first; id <= last; id++ {
			ids = append(ids, id)
		}
	}
	return ids, nil
}

// swatchJSON is the shape of a swatch in JSON. Number is null for a drop that
// was read and not recorded, and photo with it.
type swatchJSON struct {
	Number *int64     `json:"number"`
	Wax    string     `json:"wax"`
	State  wax.State  `json:"state"`
	Dose   wax.Recipe `json:"dose"`
	Check  bool       `json:"check"`
	colourJSON
	// Covariance is that of (L*, a*, b*).
	Covariance [3][3]float64 `json:"covariance" means:"of L*, a*, b*"`
	Card       colourJSON    `json:"card"`
	Thick      bool          `json:"thick"`
	// OverBlack is null for a drop that does not cross the black bar, DiameterMM and
	// MassG where they are not known.
	OverBlack  *overBlackJSON `json:"over_black"`
	DiameterMM float64        `json:"diameter_mm" zero:"null"`
	MassG      float64        `json:"mass_g" zero:"null"`
	Drop       int            `json:"drop"`
	AreaPx     int            `json:"area_px"`
	AreaShare  float64        `json:"area_share"`
	Notes      []string       `json:"notes"`
	Photo      *photoJSON     `json:"photo"`
}

// photoJSON is the shape of the photograph of a swatch in JSON.
type photoJSON struct {
	Name       string    `json:"name"`
	SHA256     string    `json:"sha256"`
	Reader     int       `json:"reader_version"`
	RecordedAt time.Time `json:"recorded_at"`
	readingJSON
}

// overBlackJSON is the shape of the part of a drop over the black bar in JSON; bar
// is the bare bar.
type overBlackJSON struct {
	colourJSON
	Covariance [3][3]float64 `json:"covariance"`
	Bar        colourJSON    `json:"bar"`
}

func swatchJSONOf(s wax.Swatch) swatchJSON {
	j := swatchJSON{
		Wax: s.Wax, State: s.State, Dose: s.Recipe, Check: s.Check,
		colourJSON: colourJSONOf(s.Colour.Lab), Covariance: s.Colour.Cov, Card: colourJSONOf(s.Card),
		Thick: s.Thick, DiameterMM: s.DiameterMM, MassG: s.MassG,
		Drop: s.Drop, AreaPx: s.AreaPx, AreaShare: s.AreaShare, Notes: s.Notes,
	}
	if s.OverBlack != nil && s.Bar != nil {
		j.OverBlack = &overBlackJSON{colourJSONOf(s.OverBlack.Lab), s.OverBlack.Cov, colourJSONOf(*s.Bar)}
	}
	if s.ID != 0 {
		j.Number = &s.ID
		j.Photo = &photoJSON{s.Photo.Name, s.Photo.SHA256, s.Photo.Reader, s.Photo.RecordedAt, readingJSONOf(s.Photo.Correction, s.Photo.Quality)}
	}
	return j
}

func swatchesJSON(swatches []wax.Swatch) []swatchJSON {
	list := make([]swatchJSON, len(swatches))
	for i, s := range swatches {
		list[i] = swatchJSONOf(s)
	}
	return list
}

func newSwatchList(a *app) *cobra.Command {
	var f store.Filter
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the recorded swatches",
		Example: `  setshade swatch list
  setshade swatch list --dye "Bracken" --state set
  setshade swatch list --wax "Harrow Soy" --json`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if f.State != "" && f.State != wax.SetState && f.State != wax.LiquidState {
				return &usageError{fmt.Sprintf("--state: %q is not a state; it is set or liquid", f.State), helpOf(cmd)}
			}
			swatches, err := ask(cmd.Context(), a, func(w *workshop.Workshop) ([]wax.Swatch, error) {
				return w.Store.Swatches(cmd.Context(), f)
			})
			if err != nil {
				return err
			}
			if len(swatches) == 0 {
				a.note(noSwatches(f))
			}
			return a.tell(map[string][]swatchJSON{"swatches": swatchesJSON(swatches)}, report.Swatches(a.colours(), swatches))
		},
	}
	cmd.Flags().StringVar(&f.Wax, "wax", "", "only those in this wax, by `name`")
	cmd.Flags().StringVar(&f.Dye, "dye", "", "only those with this dye, by `name`, alone or with others")
	cmd.Flags().StringVar((*string)(&f.State), "state", "", "only those that were `set|liquid`")
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	completeFlag(cmd, "dye", dyeKind.offerNames(a))
	completeFlag(cmd, "state", cobra.FixedCompletions([]string{string(wax.SetState), string(wax.LiquidState)}, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

// noSwatches says why a list is empty.
func noSwatches(f store.Filter) string {
	if f.Wax == "" && f.Dye == "" && f.State == "" {
		return "No swatch has been recorded yet.\ntry: setshade record bracken.jpg"
	}
	return "No swatch is like that.\ntry: setshade swatch list"
}

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
