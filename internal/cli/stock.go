package cli

import (
	"fmt"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/report"
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

// oneStock wants the number of one stock.
func oneStock(cmd *cobra.Command, args []string) error {
	switch len(args) {
	case 0:
		return &usageError{"name the stock by its number", cmd.CommandPath() + " 3"}
	case 1:
		_, err := stockNumber(cmd, args[0])
		return err
	}
	return &usageError{"one stock at a time", cmd.CommandPath() + " 3"}
}

func stockNumber(cmd *cobra.Command, text string) (int64, error) {
	number, err := strconv.ParseInt(text, 10, 64)
	if err != nil || number < 1 {
		return 0, &usageError{fmt.Sprintf("%q is not the number of a stock; write one like 3", text), cmd.CommandPath() + " 3"}
	}
	return number, nil
}

// stockJSON is the shape of dyed wax set aside in JSON.
type stockJSON struct {
	Number     int64          `json:"number"`
	Wax        string         `json:"wax"`
	SetAsideAt time.Time      `json:"set_aside_at"`
	Batch      batchJSON      `json:"batch"`
	Additives  []additiveJSON `json:"additives"`
	Note       string         `json:"note"`
}

const stockJSONHelp = `number, wax, set_aside_at, batch {"undyed_g", "dye_g", "fragrance_g",
"total_g", "dose", "load"}, additives [{"name", "percent", "g"}], note`

// additiveJSON is the shape of an additive in JSON.
type additiveJSON struct {
	Name    string  `json:"name"`
	Percent float64 `json:"percent"`
	G       float64 `json:"g"`
}

func stockJSONOf(s wax.Stock) stockJSON {
	return stockJSON{s.Number, s.Wax, s.SetAsideAt.UTC(), batchJSONOf(s.Batch), additivesJSON(s.Batch), s.Note}
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
	err = a.tell(stockJSONOf(s), report.Stock(s))
	a.notes(append(converted(cmd.Flags()), notes...))
	return err
}
