package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/store"
	"setshade/internal/workshop"
)

func newBatchShow(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "show NUMBER",
		Short: "Show a batch of the log, promise beside outcome",
		Long: `Show everything the log has of a batch: what was promised beside what came of it.

With --json: number, poured_at, wax, portion, colours [{"name", "portions",
"batch", "additives" [{"name", "percent", "g"}], "promise" {"piece", "drop"}, "outcome" {"swatch", "lab", "hex", "word",
"miss_de00"}}], lots [{"of", "lot"}], notes, said. A batch is as setshade help
rescue tells; piece and drop are {"lab", "hex", "word", "within_95_de00"}. A
promise is null where nothing had been learned, an outcome where no drop was read.`,
		Example:           "  setshade batch show 3",
		Args:              numberedBatch.one,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := numberedBatch.number(cmd, args[0])
			if err != nil {
				return err
			}
			return a.showLogged(cmd, nil, func(ctx context.Context, w *workshop.Workshop) (workshop.Logged, error) {
				return w.Batch(ctx, id)
			})
		},
	}
}

// loggedJSON is the shape of a batch of the log in JSON.
type loggedJSON struct {
	Number   int64              `json:"number"`
	PouredAt time.Time          `json:"poured_at"`
	Wax      string             `json:"wax"`
	Portion  string             `json:"portion"`
	Colours  []loggedColourJSON `json:"colours"`
	Lots     []batchLotJSON     `json:"lots"`
	Notes    []string           `json:"notes"`
	// Said are remarks on what was just kept.
	Said []string `json:"said"`
}

// loggedColourJSON is the shape of one colour of a batch of the log in JSON.
type loggedColourJSON struct {
	Name      string         `json:"name"`
	Portions  float64        `json:"portions"`
	Batch     batchJSON      `json:"batch"`
	Additives []additiveJSON `json:"additives"`
	Promise   *promiseJSON   `json:"promise"`
	Outcome   *outcomeJSON   `json:"outcome"`
}

// promiseJSON is the shape of what was predicted on the day in JSON.
type promiseJSON struct {
	Piece foretoldJSON `json:"piece"`
	Drop  foretoldJSON `json:"drop"`
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

// batchLotJSON is the shape of a lot in JSON.
type batchLotJSON struct {
	Of  string `json:"of"`
	Lot string `json:"lot"`
}

func loggedJSONOf(b workshop.Logged) loggedJSON {
	j := loggedJSON{
		Number: b.ID, PouredAt: b.PouredAt.UTC(), Wax: b.Wax, Portion: b.Portion,
		Lots: []batchLotJSON{}, Notes: orEmpty(b.Notes), Said: orEmpty(b.Said),
	}
	for i, c := range b.Colours {
		colour := loggedColourJSON{Name: c.Name, Portions: c.Portions, Batch: batchJSONOf(c.Batch), Additives: additivesJSON(c.Batch), Promise: promiseJSONOf(c.Promise)}
		colour.Outcome = outcomeJSONOf(b.Outcomes[i])
		j.Colours = append(j.Colours, colour)
	}
	for _, l := range b.Lots {
		j.Lots = append(j.Lots, batchLotJSON(l))
	}
	return j
}

func outcomeJSONOf(o *workshop.Outcome) *outcomeJSON {
	if o == nil {
		return nil
	}
	return &outcomeJSON{o.Swatch.ID, colourJSONOf(o.Swatch.Colour.Lab), o.MissDE00}
}

func promiseJSONOf(p *store.Promise) *promiseJSON {
	if p == nil {
		return nil
	}
	foretold := func(f store.Foretold) foretoldJSON { return foretoldJSON{colourJSONOf(f.Lab), f.Within95} }
	return &promiseJSON{foretold(p.Piece), foretold(p.Drop)}
}
