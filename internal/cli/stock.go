package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const stockLong = `Dyed wax set aside: each with a number to write on its label, its recipe, its
fragrance load and what is left of it. setshade match uses it as an ingredient.`

func newStock(a *app) *cobra.Command {
	group := newGroup("stock", "Dyed wax set aside: add, list, show, change, use, remove", "  setshade stock list")
	group.Long = stockLong
	group.AddCommand(newStockAdd(a), newStockList(a), newStockShow(a), newStockChange(a), newStockUse(a), newStockRemove(a))
	return group
}

// stockJSON is the shape of dyed wax set aside in JSON.
type stockJSON struct {
	Number     int64          `json:"number"`
	Wax        string         `json:"wax"`
	SetAsideAt time.Time      `json:"set_aside_at"`
	Batch      wax.Batch      `json:"batch"`
	Additives  []additiveJSON `json:"additives"`
	Note       string         `json:"note"`
}

func newStockShow(a *app) *cobra.Command {
	return numberedStock.command("show", "Show what is on record of dyed wax set aside", "", func(cmd *cobra.Command, number int64) error {
		return a.tellStock(cmd, func(w *workshop.Workshop) (s wax.Stock, notes []string, err error) {
			s, err = w.Store.Stock(cmd.Context(), number)
			return s, nil, err
		})
	})
}

func newStockList(a *app) *cobra.Command {
	const none = "No dyed wax is set aside.\ntry: setshade stock add --help"
	stocks := func(w *workshop.Workshop, ctx context.Context) ([]wax.Stock, error) { return w.Store.Stocks(ctx) }
	return listCommand(a, numberedStock, "List the dyed wax set aside", "stocks", none, stocks, stockJSONOf, report.Stocks)
}

func newStockRemove(a *app) *cobra.Command {
	return numberedStock.remove(a, "Take dyed wax off the list", "Take dyed wax off the list, such as what was thrown away.", (*store.Store).RemoveStock)
}

// additiveJSON is the shape of an additive in JSON.
type additiveJSON struct {
	Name    string  `json:"name"`
	Percent float64 `json:"percent"`
	G       float64 `json:"g"`
}

func stockJSONOf(s wax.Stock) stockJSON {
	return stockJSON{s.Number, s.Wax, s.SetAsideAt, s.Batch, additivesJSON(s.Batch), s.Note}
}

func additivesJSON(b wax.Batch) []additiveJSON {
	list := make([]additiveJSON, len(b.Additives))
	for i, a := range b.Additives {
		list[i] = additiveJSON{a.Name, a.Percent, a.MassG(b.UndyedG)}
	}
	return list
}

// tellStock does something to a stock and shows what is on record of it then.
func (a *app) tellStock(cmd *cobra.Command, do func(*workshop.Workshop) (wax.Stock, []string, error)) error {
	var s wax.Stock
	var notes []string
	err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
		s, notes, err = do(w)
		return err
	})
	if err != nil {
		return err
	}
	err = a.tell(s, report.Stock(s))
	a.notes(append(converted(cmd.Flags()), notes...))
	return err
}
