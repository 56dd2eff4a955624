package workshop

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/plaintext"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// NewLot is a new lot of a dye, as the maker shows it by one set drop.
type NewLot struct {
	Dye string
	// Mark is the supplier's mark of the new lot.
	Mark string
	// SwatchID is a set drop of the new lot alone, recorded under the dye's
	// name and kept back from learning.
	SwatchID int64
	// Take lets the new lot have the dye's name from now on.
	Take bool
}

// LotAnswer is what the drop tells of the new lot.
type LotAnswer struct {
	Wax    wax.Wax
	Dye    wax.Dye
	Mark   string
	Swatch wax.Swatch
	calibrate.LotChange
	// Taken is the dye as its new lot, and Older the old lot under the name it now
	// has; nil when the new lot was not taken.
	Taken, Older *wax.Dye
	Notes        []string
}

// Stronger and Weaker report whether the strength has changed by more than its
// interval and an error in weighing tell.
func (a LotAnswer) Stronger() bool { return a.From > 1 && math.Log(a.Strength) > 2*weighedSpread }

// Weaker is told with Stronger.
func (a LotAnswer) Weaker() bool { return a.To < 1 && math.Log(a.Strength) < -2*weighedSpread }

// Lot compares a new lot of a dye with what was learned of the old one.
func (w *Workshop) Lot(ctx context.Context, n NewLot) (LotAnswer, error) {
	dye, err := w.Store.Dyes.Get(ctx, n.Dye)
	if err != nil {
		return LotAnswer{}, err
	}
	s, err := w.Store.Swatch(ctx, n.SwatchID)
	if err != nil {
		return LotAnswer{}, err
	}
	if len(s.Recipe) != 1 || s.Recipe[0].Dye != dye.Name || s.State != wax.SetState {
		return LotAnswer{}, fmt.Errorf("a lot of %s is told by a set drop of it alone; swatch %d is %s, %s", dye.Name, s.ID, s.Recipe, s.State)
	}
	base, err := w.wax(ctx, s.Wax)
	if err != nil {
		return LotAnswer{}, err
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return LotAnswer{}, err
	}
	if slices.ContainsFunc(model.Drops, func(d calibrate.DropFit) bool { return d.ID == s.ID }) {
		return LotAnswer{}, fmt.Errorf("swatch %d was learned from as the old lot, so it cannot be compared with it; first: setshade swatch keep %d, then learn again", s.ID, s.ID)
	}
	drip := calibrate.Drip{Recipe: s.Recipe, View: calibrate.View{Card: s.Card}, Colour: s.Colour}
	a := LotAnswer{Wax: base, Dye: dye, Mark: n.Mark, Swatch: s, Notes: notes}
	if a.LotChange, err = model.Lot(drip); err != nil || !n.Take {
		return a, err
	}
	return a, w.takeLot(ctx, &a)
}

// weighedSpread is the standard error of the log dose of a drop that was weighed
// out (common practice, no source).
const weighedSpread = 0.03

// takeLot gives the dye's name to the new lot, of which the swatch becomes the
// first drop, and learns again the wax of the swatch and every other that knew
// the dye. The old lot stays on the shelf under its mark.
func (w *Workshop) takeLot(ctx context.Context, a *LotAnswer) error {
	old, lot := a.Dye, a.Dye
	if old.Lot == "" {
		old.Lot = "before " + a.Mark
	}
	old.Name, lot.Lot = olderLotName(lot.Name, old.Lot), a.Mark
	if plaintext.Same(old.Lot, a.Mark) {
		return fmt.Errorf("%s is of lot %s already; say the mark of the new lot", lot.Name, a.Mark)
	}
	// One day this lot will be an older one, and its mark part of a name.
	oneDay := lot
	oneDay.Name = olderLotName(lot.Name, lot.Lot)
	if err := oneDay.Validate(); err != nil {
		return err
	}
	if err := w.Store.TakeLot(ctx, lot.Name, old, lot, a.Swatch.ID); err != nil {
		return err
	}
	a.Taken, a.Older = &lot, &old
	waxes, err := w.Store.Waxes.List(ctx)
	if err != nil {
		return err
	}
	for _, base := range waxes {
		model, _, err := w.learned(ctx, base)
		if errors.Is(err, store.ErrNotFound) {
			continue
		}
		if err != nil {
			return err
		}
		if _, knew := model.Range(lot.Name); !knew {
			continue
		}
		if _, err := w.Learn(ctx, base.Name, nil); err != nil {
			return fmt.Errorf("the new lot is taken, but %s could not be learned again with it: %w", base.Name, err)
		}
		if base.Name != a.Wax.Name {
			a.Notes = append(a.Notes, fmt.Sprintf("no drop shows the new lot in %s: it is taken there as the old one, with a wider interval, until one is recorded", base.Name))
		}
	}
	return nil
}

// LotChart is the control chart of a dye's check drops.
type LotChart struct {
	Wax    wax.Wax `json:"wax"`
	Dye    wax.Dye
	Points []ChartedDrop `json:"points"`
	Alarms []calibrate.Alarm
	Notes  []string `json:"notes"`
}

// ChartedDrop is one check drop on a control chart: its strength against what
// was learned, as log over standard error.
type ChartedDrop struct {
	Swatch       wax.Swatch
	Standardised float64
}

// ChartLot charts the set check drops of a dye alone, in the order recorded.
func (w *Workshop) ChartLot(ctx context.Context, waxName, dyeName string) (LotChart, error) {
	base, err := w.wax(ctx, waxName)
	if err != nil {
		return LotChart{}, err
	}
	dye, err := w.Store.Dyes.Get(ctx, dyeName)
	if err != nil {
		return LotChart{}, err
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return LotChart{}, err
	}
	swatches, err := w.Store.Swatches(ctx, store.Filter{Wax: base.Name, Dye: dye.Name, State: wax.SetState})
	if err != nil {
		return LotChart{}, err
	}
	c := LotChart{Wax: base, Dye: dye, Notes: notes}
	var points []float64
	for _, s := range swatches {
		if !s.Check || len(s.Recipe) != 1 {
			continue
		}
		at, err := model.ChartPoint(calibrate.Drip{Recipe: s.Recipe, View: calibrate.View{Card: s.Card}, Colour: s.Colour})
		if err != nil {
			return LotChart{}, err
		}
		c.Points, points = append(c.Points, ChartedDrop{s, at}), append(points, at)
	}
	c.Alarms = calibrate.Alarms(points)
	return c, nil
}
