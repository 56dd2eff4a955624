package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

const storeCheckLong = `Check the store: the file and the references in it, every row against the digest
kept with it, every photograph against its hash, and whether what was learned can
be read. The exit code is 1 when something is wrong.

A row that is not as it was kept is named with what puts it right. Where nothing
does and there is no copy, setshade store export writes what is there, to be looked
at, and setshade store import takes it as it is.

A photograph that is gone or has changed is named with its swatches and their
date; setshade record with its file puts it back. Files in the folder of
photographs that no swatch needs, as a killed program may leave one, are named and
do no harm.`

// checkupJSON is the shape of a check of the store in JSON.
type checkupJSON struct {
	Store    string     `json:"store"`
	Version  int        `json:"version"`
	Photos   int        `json:"photographs"`
	Swatches int        `json:"swatches"`
	Waxes    int        `json:"waxes"`
	Dyes     int        `json:"dyes"`
	Moulds   int        `json:"moulds"`
	Batches  int        `json:"batches"`
	Stocks   int        `json:"stocks"`
	Strips   int        `json:"strips" means:"anchors and references of printed cards"`
	Learned  int        `json:"learned" means:"waxes of which something was learned"`
	Problems []string   `json:"problems"`
	Missing  []lostJSON `json:"missing"`
	Strays   []string   `json:"strays"`
}

func newStoreCheck(a *app) *cobra.Command {
	return &cobra.Command{
		Use:     "check",
		Short:   "Check that the store is whole",
		Long:    storeCheckLong,
		Example: "  setshade store check",
		Args:    noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			var found workshop.Checkup
			var path string
			err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				path = w.Store.Path()
				found, err = w.CheckStore(cmd.Context())
				return err
			})
			if err != nil {
				return err
			}
			j := checkupJSON{
				path, found.Version, found.Photos, found.Swatches, found.Waxes, found.Dyes, found.Moulds,
				found.Batches, found.Stocks, found.Strips, found.Learned, found.Problems, lostJSONOf(found.Lost), found.Strays,
			}
			if err := a.tell(j, report.Checkup(path, found)); err != nil {
				return err
			}
			switch len(found.Problems) {
			case 0:
				return nil
			case len(found.Lost):
				return lacks("the store "+path, found.Lost)
			}
			return fmt.Errorf("the store %s is not whole; see to what is named, or put back a copy of it", path)
		},
	}
}
