package workshop

import (
	"context"
	"errors"
	"fmt"
	"image"

	"setshade/internal/photo"
	"setshade/internal/plan"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// Card is a photographed card with its plan, as the maker hands them over.
type Card struct {
	PhotoName, PlanName string
	Photo               []byte
	PlanText            string
}

// Reading is what was read from a card.
type Reading struct {
	// Swatches in card order; numbered once they are recorded.
	Swatches []wax.Swatch
	// Notes are remarks on the picture and on doses, in plain words.
	Notes []string

	seen photo.Reading
}

// Overlay shows what was read where; nil when the picture could not be decoded.
func (r Reading) Overlay() image.Image { return r.seen.Overlay() }

// Read reads a card without recording it. When the photograph is refused, the
// Reading still holds the overlay that shows why.
func (w *Workshop) Read(ctx context.Context, c Card) (Reading, error) {
	p, doses, err := w.planned(ctx, c)
	if err != nil {
		return Reading{}, fmt.Errorf("plan %s: %w", c.PlanName, err)
	}
	seen, err := photo.Read(c.Photo, photo.Expect{
		Drops: len(p.Drops), Rows: p.Rows, Card: p.Card, Liquid: p.State == wax.LiquidState,
	})
	out := Reading{Notes: seen.Notes, seen: seen}
	if err != nil {
		return out, fmt.Errorf("photograph %s: %w", c.PhotoName, err)
	}
	for i, d := range seen.Drops {
		dose := doses[i]
		out.Swatches = append(out.Swatches, wax.Swatch{
			Wax: p.Wax, State: p.State, Recipe: dose.Recipe, Check: dose.Check, Colour: d.Colour,
			Card: p.Card, Drop: d.Number, AreaPx: d.AreaPx, AreaShare: d.AreaShare, Notes: d.Notes,
		})
		for _, n := range dose.Notes {
			out.Notes = append(out.Notes, fmt.Sprintf("drop %d: %s", dose.Number, n))
		}
	}
	return out, nil
}

// planned reads the plan and turns its doses into g/kg with the shelf.
func (w *Workshop) planned(ctx context.Context, c Card) (plan.Plan, []plan.Resolved, error) {
	p, err := plan.Parse(c.PlanText)
	if err != nil {
		return plan.Plan{}, nil, err
	}
	known, err := w.Store.Waxes.Get(ctx, p.Wax)
	if err != nil {
		return plan.Plan{}, nil, err
	}
	p.Wax = known.Name
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return plan.Plan{}, nil, err
	}
	doses, err := p.Resolve(dyes)
	return p, doses, err
}

// Record reads a card and keeps its photograph, its plan and its swatches, all
// or nothing.
func (w *Workshop) Record(ctx context.Context, c Card) (Reading, error) {
	out, err := w.Read(ctx, c)
	if err != nil {
		return out, err
	}
	swatches, err := w.Store.Record(ctx, store.Photo{
		Name: c.PhotoName, Bytes: c.Photo, PlanText: c.PlanText,
		Reader: photo.ReaderVersion, RecordedAt: w.Now(),
	}, out.Swatches)
	if err != nil {
		return out, err
	}
	out.Swatches = swatches
	return out, nil
}

// Advice returns what a refused photograph needs, "" for other errors.
func Advice(err error) string {
	var refusal *photo.Refusal
	if errors.As(err, &refusal) {
		return refusal.Do
	}
	return ""
}
