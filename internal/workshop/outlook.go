package workshop

import (
	"context"
	"errors"
	"fmt"

	"setshade/internal/english"
	"setshade/internal/store"
)

// Outlook is where a maker stands with her store, and what brings her on.
type Outlook struct {
	// Has says what is kept, without a full stop.
	Has string
	// Next are commands, the most useful first, each with what it does.
	Next [][2]string
}

// Stand looks at the shelf, the photographs and what was learned.
func (w *Workshop) Stand(ctx context.Context) (s Outlook, err error) {
	waxes, err1 := w.Store.Waxes.List(ctx)
	dyes, err2 := w.Store.Dyes.List(ctx)
	photographs, err3 := w.Store.Photos(ctx)
	if err := errors.Join(err1, err2, err3); err != nil {
		return s, err
	}
	s.Has = english.And([]string{english.Count(len(waxes), "wax", "waxes"), english.Count(len(dyes), "dye", "dyes"), english.Count(len(photographs), "photograph", "photographs")})
	next := func(command, does string) { s.Next = append(s.Next, [2]string{command, does}) }
	switch {
	case len(waxes) == 0:
		next(`setshade wax add "Harrow Soy"`, "puts your wax on the shelf, by its own name")
	case len(dyes) == 0:
		next(`setshade dye add "Bracken"`, "puts a dye on it")
	case len(photographs) == 0:
		next("setshade record card.jpg", "reads a card of set drops, with its plan card.plan")
	default:
		for _, base := range waxes {
			if _, err := w.Store.Learned(ctx, base.Name); errors.Is(err, store.ErrNotFound) || errors.Is(err, store.ErrDamaged) {
				next(fmt.Sprintf("setshade learn %q", base.Name), "learns from its drops")
				return s, nil
			}
		}
		next(`setshade predict "DYE 0.5 g/kg"`, "tells the set shade of a dose")
		next("setshade rescue --help", "mends a batch that came out wrong")
	}
	return s, nil
}
