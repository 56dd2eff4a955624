package workshop

import (
	"context"
	"errors"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// Shelf is what a workshop owns, each dye with its ladder.
type Shelf struct {
	Waxes  []ShelvedWax
	Dyes   []ShelvedDye
	Moulds []wax.Mould
	// Undyed are the set drops of undyed wax, Mixed those of several dyes.
	Undyed, Mixed []wax.Swatch
	// Before is the number below which older drops begin that are not among these; 0
	// where these are all.
	Before int64
}

// mostShelved is how many drops a shelf shows, the newest first.
const mostShelved = 300

// ShelvedWax is a wax with what was learned in it.
type ShelvedWax struct {
	wax.Wax
	// Learned are the dyes learned in it, with the doses tested; nil before.
	Learned []calibrate.DyeRange
	// Notes say what has changed since, in plain words.
	Notes []string
}

// ShelvedDye is a dye with its ladder: its set drops alone, in order of dose.
type ShelvedDye struct {
	wax.Dye
	Ladder []wax.Swatch
}

// Shelf lists what there is: of set drops those with numbers below before, the newest.
func (w *Workshop) Shelf(ctx context.Context, before int64) (Shelf, error) {
	waxes, err := w.Store.Waxes.List(ctx)
	if err != nil {
		return Shelf{}, err
	}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return Shelf{}, err
	}
	moulds, err := w.Store.Moulds.List(ctx)
	if err != nil {
		return Shelf{}, err
	}
	swatches, err := w.Store.Swatches(ctx, store.Filter{State: wax.SetState, Before: before, Limit: mostShelved})
	if err != nil {
		return Shelf{}, err
	}
	s := Shelf{Moulds: moulds}
	if len(swatches) == mostShelved {
		s.Before = swatches[0].ID
	}
	for _, x := range waxes {
		shelved := ShelvedWax{Wax: x}
		model, notes, err := w.learned(ctx, x)
		if err != nil && !IsNotFound(err) {
			return Shelf{}, err
		}
		if err == nil {
			shelved.Learned, shelved.Notes = model.Dyes, notes
		}
		s.Waxes = append(s.Waxes, shelved)
	}
	ladders := map[string][]wax.Swatch{}
	for _, drop := range swatches {
		switch len(drop.Recipe) {
		case 0:
			s.Undyed = append(s.Undyed, drop)
		case 1:
			ladders[drop.Recipe[0].Dye] = append(ladders[drop.Recipe[0].Dye], drop)
		default:
			s.Mixed = append(s.Mixed, drop)
		}
	}
	for _, d := range dyes {
		ladder := ladders[d.Name]
		slices.SortStableFunc(ladder, func(a, b wax.Swatch) int {
			switch x, y := a.Recipe[0].DoseGPerKg, b.Recipe[0].DoseGPerKg; {
			case x < y:
				return -1
			case x > y:
				return 1
			}
			return 0
		})
		s.Dyes = append(s.Dyes, ShelvedDye{d, ladder})
	}
	return s, nil
}

// IsNotFound reports an error for what is not in the store, or not yet learned.
func IsNotFound(err error) bool { return errors.Is(err, store.ErrNotFound) }

// SetDrops returns the newest set drops, at most so many, the newest first.
func (w *Workshop) SetDrops(ctx context.Context, most int) ([]wax.Swatch, error) {
	drops, err := w.Store.Swatches(ctx, store.Filter{State: wax.SetState, Before: store.Newest, Limit: most})
	slices.Reverse(drops)
	return drops, err
}
