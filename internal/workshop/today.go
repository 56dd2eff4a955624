package workshop

import (
	"context"

	"setshade/internal/plan"
	"setshade/internal/wax"
)

// Today is what waits at the bench.
type Today struct {
	// Wax is that of the card recorded last, or the first of the shelf; "" where there is
	// none yet.
	Wax   string
	Waxes []wax.Wax
	// Astray are the drops that disagree most with what was learned, and Changes says of
	// waxes that their drops have changed since they were learned.
	Astray  []FitPair
	Changes []string
	// Learned says that something is learned.
	Learned bool
	Stocks  []wax.Stock
	// Poured are the last batches, the newest first.
	Poured []Logged
}

// How many of a kind are told of a day.
const mostAstray, mostOfToday = 4, 3

// Today gathers what waits.
func (w *Workshop) Today(ctx context.Context) (t Today, err error) {
	if t.Waxes, err = w.Store.Waxes.List(ctx); err != nil || len(t.Waxes) == 0 {
		return t, err
	}
	t.Wax = t.Waxes[0].Name
	if last, err := w.Store.PlansSaid(ctx, 1); err == nil && len(last) == 1 {
		if said, err := plan.Parse(last[0]); err == nil {
			t.Wax = said.Wax
		}
	}
	for _, x := range t.Waxes {
		model, notes, err := w.learned(ctx, x)
		if IsNotFound(err) {
			continue
		}
		if err != nil {
			return t, err
		}
		t.Learned, t.Changes = true, append(t.Changes, notes...)
		for _, fit := range model.Drops {
			if fit.Suspicion == "" || len(t.Astray) == mostAstray {
				continue
			}
			if s, err := w.Store.Swatch(ctx, fit.ID); err == nil {
				t.Astray = append(t.Astray, FitPair{s, fit.Predicted, s.Colour.Lab, fit.DE00, fit.Suspicion})
			}
		}
	}
	if t.Stocks, err = w.Store.Stocks(ctx); err != nil {
		return t, err
	}
	t.Stocks = t.Stocks[:min(mostOfToday, len(t.Stocks))]
	poured, err := w.Store.LastBatches(ctx, mostOfToday)
	if err == nil {
		t.Poured, err = w.logged(ctx, poured...)
	}
	return t, err
}
