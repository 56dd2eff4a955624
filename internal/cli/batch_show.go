package cli

import (
	"context"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/workshop"
)

const batchShowLong = `Show everything the log has of a batch: what was promised beside what came of it.`

func newBatchShow(a *app) *cobra.Command {
	return numberedBatch.command("show", "Show a batch of the log, promise beside outcome", batchShowLong, func(cmd *cobra.Command, id int64) error {
		return a.showLogged(cmd, nil, func(ctx context.Context, w *workshop.Workshop) (workshop.Logged, error) { return w.Batch(ctx, id) })
	})
}

func newBatchList(a *app) *cobra.Command {
	const none = "There is no batch in the log yet.\ntry: setshade batch log --help"
	return listCommand(a, numberedBatch, "List what was poured", "batches", none, (*workshop.Workshop).Batches, loggedJSONOf, report.Batches)
}

func newBatchRemove(a *app) *cobra.Command {
	return numberedBatch.remove(a, "Take a batch out of the log", "Take a batch out of the log. Its swatches stay.", (*store.Store).RemoveBatch)
}

// loggedJSON is the shape of a batch of the log in JSON.
type loggedJSON struct {
	workshop.Logged
	Colours []loggedColourJSON `json:"colours"`
}

// loggedColourJSON is the shape of one colour of a batch of the log in JSON.
type loggedColourJSON struct {
	store.PouredColour
	Additives []additiveJSON    `json:"additives"`
	Outcome   *workshop.Outcome `json:"outcome"`
}

type foretoldJSON struct {
	colourJSON
	Within95 float64 `json:"within_95_de00"`
}

// outcomeJSON is the shape of what came of a colour in JSON; miss_de00 is null
// where nothing was promised.
type outcomeJSON struct {
	Swatch int64 `json:"swatch"`
	colourJSON
	MissDE00 *float64 `json:"miss_de00"`
}

func loggedJSONOf(b workshop.Logged) loggedJSON {
	j := loggedJSON{Logged: b}
	for i, c := range b.Colours {
		j.Colours = append(j.Colours, loggedColourJSON{c, additivesJSON(c.Batch), b.Outcomes[i]})
	}
	return j
}
