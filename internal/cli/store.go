package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/english"
	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/workshop"
)

// missingHelp tells what all commands do that copy a store.
const missingHelp = `A photograph that is gone or has changed does not keep the rest from being
copied: it is left out and named with its swatches and their date, and the exit
code is 1. A changed file stays where it is. Once you find the photograph,
setshade record puts it back into the store.`

func newStore(a *app) *cobra.Command {
	group := newGroup("store", "The store itself: check, backup, export, import", "  setshade store check")
	group.AddCommand(newStoreCheck(a), newStoreBackup(a), newStoreExport(a), newStoreImport(a))
	return group
}

// onePlace wants exactly one file or folder.
func onePlace(noun, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 || args[0] == "" {
			return &usageError{"name one " + noun, cmd.CommandPath() + " " + example}
		}
		return nil
	}
}

// foldersOnly offers folders as the only argument.
func foldersOnly(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// movedJSON is the shape of an export or an import in JSON.
type movedJSON struct {
	Folder   string     `json:"folder"`
	Waxes    int        `json:"waxes"`
	Dyes     int        `json:"dyes"`
	Moulds   int        `json:"moulds"`
	Photos   int        `json:"photographs"`
	Swatches int        `json:"swatches"`
	Batches  int        `json:"batches"`
	Stocks   int        `json:"stocks"`
	Missing  []lostJSON `json:"missing"`
}

func movedJSONOf(folder string, c store.Contents, lost []workshop.Lost) movedJSON {
	return movedJSON{
		folder, len(c.Waxes), len(c.Dyes), len(c.Moulds), len(c.Photos), len(c.Swatches), len(c.Batches), len(c.Stocks), lostJSONOf(lost),
	}
}

// recordedJSON is the shape of a recorded photograph in JSON; swatches are numbers.
type recordedJSON struct {
	Name       string    `json:"name"`
	SHA256     string    `json:"sha256"`
	RecordedAt time.Time `json:"recorded_at"`
	Swatches   []int64   `json:"swatches"`
}

func recordedJSONOf(l workshop.Lost) recordedJSON {
	return recordedJSON{l.Name, l.SHA256, l.RecordedAt, l.SwatchIDs}
}

// lostJSON is the shape of a photograph that a copy is without.
type lostJSON struct {
	recordedJSON
	Why string `json:"why"`
}

func lostJSONOf(lost []workshop.Lost) []lostJSON {
	var all []lostJSON
	for _, l := range lost {
		all = append(all, lostJSON{recordedJSONOf(l), l.Why.Error()})
	}
	return all
}

// tellCopied says what was copied to a place and what is wrong with it. It fails
// where that is anything, so that no script takes it for a whole copy.
func (a *app) tellCopied(place string, asJSON any, text string, found workshop.Checkup) error {
	if err := a.tell(asJSON, text+report.Copied(found)); err != nil {
		return err
	}
	switch {
	case len(found.Damage()) > 0:
		return fmt.Errorf("%s is not whole; see to what is named, or go back to an older copy", place)
	case len(found.Lost) > 0:
		return lacks(place, found.Lost)
	}
	return nil
}

// lacks says that photographs are lost, and what to do.
func lacks(place string, lost []workshop.Lost) error {
	return fmt.Errorf("%s lacks %s and has all the rest; look for what is named, in an older copy too, and setshade record FILE puts it back into the store",
		place, english.Count(len(lost), "photograph", "photographs"))
}
