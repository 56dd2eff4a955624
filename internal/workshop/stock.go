package workshop

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"setshade/internal/batch"
	"setshade/internal/wax"
)

// Aside is dyed wax to set aside, as the maker tells it.
type Aside struct {
	Wax string
	// Dose is written as in a plan.
	Dose string
	// MassG is all of it in grams: wax, dye, fragrance and additives.
	MassG float64
	Load  wax.Load
	// Additives are written "Stearin 3%".
	Additives []string
	Note      string
}

// AsideChange says what of a stock is to be otherwise; nil leaves it as it is.
type AsideChange struct {
	MassG     *float64
	Dose      *string
	Load      *wax.Load
	Additives *[]string
	Note      *string
}

// AddStock sets dyed wax aside, and returns remarks on its dose with it.
func (w *Workshop) AddStock(ctx context.Context, a Aside) (wax.Stock, []string, error) {
	base, err := w.wax(ctx, a.Wax)
	if err != nil {
		return wax.Stock{}, nil, err
	}
	stock := wax.Stock{Wax: base.Name, Batch: wax.Batch{Load: a.Load}, Note: strings.TrimSpace(a.Note)}
	var notes []string
	if stock.Recipe, notes, err = w.recipe(ctx, a.Dose); err != nil {
		return wax.Stock{}, nil, err
	}
	if stock.Additives, err = ParseAdditives(a.Additives); err != nil {
		return wax.Stock{}, nil, err
	}
	stock.UndyedG = undyedIn(a.MassG, stock.Batch)
	kept, err := w.KeepStock(ctx, stock)
	if over := batch.CheckLoad(a.Load, base); over != nil {
		notes = append(notes, over.Error())
	}
	return kept, notes, err
}

// KeepStock keeps dyed wax set aside under a new number, as of now unless
// SetAsideAt says otherwise.
func (w *Workshop) KeepStock(ctx context.Context, s wax.Stock) (wax.Stock, error) {
	if s.SetAsideAt.IsZero() {
		s.SetAsideAt = w.Now()
	}
	return w.Store.KeepStock(ctx, s)
}

// ChangeStock corrects what is on record of a stock, and returns remarks on its
// dose with it. Its mass stays what it was unless it is given.
func (w *Workshop) ChangeStock(ctx context.Context, number int64, c AsideChange) (wax.Stock, []string, error) {
	var recipe wax.Recipe
	var notes []string
	var additives []wax.Additive
	var err error
	if c.Dose != nil {
		if recipe, notes, err = w.recipe(ctx, *c.Dose); err != nil {
			return wax.Stock{}, nil, err
		}
	}
	if c.Additives != nil {
		if additives, err = ParseAdditives(*c.Additives); err != nil {
			return wax.Stock{}, nil, err
		}
	}
	changed, err := w.Store.ChangeStock(ctx, number, func(s *wax.Stock) error {
		massG := s.TotalG()
		if c.MassG != nil {
			massG = *c.MassG
		}
		if c.Dose != nil {
			s.Recipe = recipe
		}
		if c.Load != nil {
			s.Load = *c.Load
		}
		if c.Additives != nil {
			s.Additives = additives
		}
		if c.Note != nil {
			s.Note = strings.TrimSpace(*c.Note)
		}
		s.UndyedG = undyedIn(massG, s.Batch)
		return nil
	})
	return changed, notes, err
}

// UseStock takes grams, everything counted, from a stock and returns what was
// taken and what is left of it. A stock that is used up is removed, and left is
// nil. More than there is left is refused; a remainder that no scale shows is
// used up too.
func (w *Workshop) UseStock(ctx context.Context, number int64, massG float64) (taken wax.Stock, left *wax.Stock, err error) {
	if !(massG > 0) {
		return wax.Stock{}, nil, errors.New("say how many grams of the stock were used, above 0")
	}
	taken, err = w.Store.Stock(ctx, number)
	if err != nil {
		return wax.Stock{}, nil, err
	}
	const unseenG = 0.005
	switch has := taken.TotalG(); {
	case massG > has+unseenG:
		return wax.Stock{}, nil, fmt.Errorf("%.2f g cannot be taken from stock %d, which has %.2f g left; weigh it and correct its record", massG, number, has)
	case massG > has-unseenG:
		return taken, nil, w.Store.RemoveStock(ctx, number)
	}
	taken.UndyedG = undyedIn(massG, taken.Batch)
	rest, err := w.Store.ChangeStock(ctx, number, func(s *wax.Stock) error {
		s.UndyedG -= taken.UndyedG
		return nil
	})
	return taken, &rest, err
}

// undyedIn is the undyed wax in a mass of what a batch is made of:
//
//	undyed = mass / (total for 1 g of undyed wax)
func undyedIn(massG float64, of wax.Batch) float64 {
	of.UndyedG = 1
	return massG / of.TotalG()
}
