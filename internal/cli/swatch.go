package cli

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/wax"
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
