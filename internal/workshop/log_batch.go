package workshop

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"setshade/internal/english"
	"setshade/internal/plaintext"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// PouredOrder is an order that was poured as it was planned, to be kept in the log. (A
// recipe.Pour is a layer of a blend.)
type PouredOrder struct {
	Order
	// PouredAt is when; the zero time is now.
	PouredAt time.Time
	// Weighed are the amounts that were not as planned, "Bracken 3 chips" or "Dusk:
	// undyed 480 g"; AsWeighed takes those that are far from the plan without asking.
	Weighed   []string
	AsWeighed bool
	Remarks
}

// Remarks are what is added to a batch in the log, at pouring or later.
type Remarks struct {
	Notes []string
	// Lots are written "Bracken = HL-B14": what, and its mark.
	Lots []string
	// SwatchID is a set drop of it that was read, 0 for none; Colour names the
	// colour it is of, and may be "" for a batch of one.
	SwatchID int64
	Colour   string
	// Unlink takes the swatch of the colour off.
	Unlink bool
}

// Logged is a batch of the log.
type Logged struct {
	store.Poured
	// Outcomes are those of the colours, in their order; nil where no swatch of
	// the colour was read.
	Outcomes []*Outcome
	// Said are remarks on what was just kept, in plain words.
	Said []string `json:"said"`
}

// Outcome is what became of a colour.
type Outcome struct {
	Swatch wax.Swatch
	// MissDE00 is how far the drop lies from the drop promised; nil where
	// nothing was promised.
	MissDE00 *float64
}

// LogBatch plans a batch as PlanBatch does and keeps it as poured: the dyes as
// they were measured out, and the shades promised where they were learned. Lots
// on the record of the dyes are kept with it.
func (w *Workshop) LogBatch(ctx context.Context, p PouredOrder) (Logged, error) {
	plan, err := w.PlanBatch(ctx, p.Order)
	if err != nil {
		return Logged{}, err
	}
	if err := w.weighed(ctx, &plan, p); err != nil {
		return Logged{}, err
	}
	poured := store.Poured{Wax: plan.Sheet.Wax.Name, PouredAt: p.PouredAt, Portion: plan.Portion}
	if poured.PouredAt.IsZero() {
		poured.PouredAt = w.Now()
	}
	if poured.PouredAt.After(w.Now()) {
		return Logged{}, errors.New("the batch was poured in the future; give the day on which it was poured")
	}
	for i, pot := range plan.Sheet.Pots {
		poured.Colours = append(poured.Colours, store.PouredColour{
			Name: pot.Name, Batch: pot.Batch, Portions: pot.Portions, Promise: promiseOf(plan.Shades[i]),
		})
	}
	for _, d := range plan.Dyes {
		if d.Lot != "" {
			poured.Lots = append(poured.Lots, store.Lot{Of: d.Name, Lot: d.Lot})
		}
	}
	add, err := w.adding(ctx, p.Remarks)
	if err != nil {
		return Logged{}, err
	}
	if err := add(&poured); err != nil {
		return Logged{}, err
	}
	if poured, err = w.Store.LogBatch(ctx, poured); err != nil {
		return Logged{}, err
	}
	logged, err := w.oneLogged(ctx, poured)
	logged.Said = plan.Notes
	return logged, err
}

func promiseOf(s PotShade) *store.Promise {
	if !s.Known {
		return nil
	}
	foretold := func(s shade.Shade) store.Foretold { return store.Foretold{Lab: s.Lab, Within95: s.Within95} }
	return &store.Promise{Piece: foretold(s.Reached), Drop: foretold(s.Drop)}
}

// ChangeBatch adds remarks to a batch of the log.
func (w *Workshop) ChangeBatch(ctx context.Context, id int64, r Remarks) (Logged, error) {
	add, err := w.adding(ctx, r)
	if err != nil {
		return Logged{}, err
	}
	p, err := w.Store.ChangeBatch(ctx, id, add)
	if err != nil {
		return Logged{}, err
	}
	return w.oneLogged(ctx, p)
}

// adding reads remarks, and returns what puts them into a batch: notes are
// added, a lot takes the place of the one there was of the same thing.
func (w *Workshop) adding(ctx context.Context, r Remarks) (func(*store.Poured) error, error) {
	var lots []store.Lot
	for _, text := range r.Lots {
		l, err := lotOf(text)
		if err != nil {
			return nil, err
		}
		lots = append(lots, l)
	}
	var drop wax.Swatch
	if r.SwatchID != 0 {
		var err error
		if drop, err = w.Store.Swatch(ctx, r.SwatchID); err != nil {
			return nil, err
		}
	}
	return func(p *store.Poured) error {
		for _, n := range r.Notes {
			if n = strings.TrimSpace(n); n != "" {
				p.Notes = append(p.Notes, n)
			}
		}
		for _, l := range lots {
			p.Lots = slices.DeleteFunc(p.Lots, func(old store.Lot) bool { return plaintext.Same(old.Of, l.Of) })
			p.Lots = append(p.Lots, l)
		}
		if r.Unlink {
			at, err := colourAt(*p, r.Colour)
			if err == nil {
				p.Colours[at].SwatchID = 0
			}
			return err
		}
		if r.SwatchID == 0 {
			return nil
		}
		return link(p, r.Colour, drop)
	}, nil
}

// lotOf reads "Bracken = HL-B14".
func lotOf(text string) (store.Lot, error) {
	of, lot, _ := strings.Cut(text, "=")
	of, lot = strings.Join(strings.Fields(of), " "), strings.TrimSpace(lot)
	if of == "" || lot == "" {
		return store.Lot{}, fmt.Errorf(`%.80q is not a lot; write what it is of and its mark, like "Bracken = HL-B14"`, text)
	}
	return store.Lot{Of: of, Lot: lot}, nil
}

// link says which drop was read of a colour of a batch. It refuses a drop that
// cannot be of it.
func link(p *store.Poured, colour string, drop wax.Swatch) error {
	at, err := colourAt(*p, colour)
	if err != nil {
		return err
	}
	c := &p.Colours[at]
	if err := isOf(drop, "the batch", p.Wax, c.Recipe, p.PouredAt); err != nil {
		return err
	}
	c.SwatchID = drop.ID
	return nil
}

// isOf refuses a drop that cannot be of what was made of a wax by a recipe since a time:
// of another wax, other dyes or another dose, or recorded before. A plan says what was
// meant and the log what was measured out, so doses need not be equal.
func isOf(drop wax.Swatch, what, base string, recipe wax.Recipe, since time.Time) error {
	const alike = 1.25
	other := func(x wax.Part) bool {
		times := drop.Recipe.Dose(x.Dye) / x.DoseGPerKg
		return times > alike || times < 1/alike
	}
	switch {
	case !plaintext.Same(drop.Wax, base):
		return fmt.Errorf("swatch %d is of %s, and %s is of %s; choose a drop of it", drop.ID, drop.Wax, what, base)
	case drop.State != wax.SetState:
		return fmt.Errorf("swatch %d is a liquid drop, and liquid wax is darker than it will be; take a set drop", drop.ID)
	case drop.Photo.RecordedAt.Before(since):
		return fmt.Errorf("swatch %d was recorded on %s, and %s was poured on %s, after it; choose a drop of it, or correct the day", drop.ID, dayAndTime(drop.Photo.RecordedAt.In(since.Location())), what, dayAndTime(since))
	case !sameDyes(drop.Recipe, recipe) || slices.ContainsFunc(recipe, other):
		return fmt.Errorf("swatch %d is of %s, and %s has %s; choose a drop of it, or correct the dose of the swatch", drop.ID, drop.Recipe, what, recipe)
	}
	return nil
}

func dayAndTime(at time.Time) string { return at.Format("2 January 2006 15:04") }

// colourAt finds a colour by name; without a name, the only one.
func colourAt(p store.Poured, name string) (int, error) {
	names := make([]string, len(p.Colours))
	for i, c := range p.Colours {
		names[i] = c.Name
	}
	return namedColour(names, name)
}

func namedColour(names []string, name string) (int, error) {
	for i, n := range names {
		if plaintext.Same(n, name) || (name == "" && len(names) == 1) {
			return i, nil
		}
	}
	if name == "" {
		return 0, fmt.Errorf("the batch has several colours (%s); say which is meant", strings.Join(names, ", "))
	}
	return 0, fmt.Errorf("the batch has no colour %q; it has %s", name, english.And(names))
}

// sameDyes reports the same dyes, whatever the doses: a card's plan says the dose
// that was meant, the log the one that was measured out.
func sameDyes(a, b wax.Recipe) bool {
	return slices.EqualFunc(a, b, func(x, y wax.Part) bool { return x.Dye == y.Dye })
}

// Batches returns the log in order of number.
func (w *Workshop) Batches(ctx context.Context) ([]Logged, error) {
	all, err := w.Store.Batches(ctx)
	if err != nil {
		return nil, err
	}
	return w.logged(ctx, all...)
}

// Batch returns one batch of the log.
func (w *Workshop) Batch(ctx context.Context, id int64) (Logged, error) {
	p, err := w.Store.Batch(ctx, id)
	if err != nil {
		return Logged{}, err
	}
	return w.oneLogged(ctx, p)
}

func (w *Workshop) oneLogged(ctx context.Context, p store.Poured) (Logged, error) {
	logged, err := w.logged(ctx, p)
	if err != nil {
		return Logged{}, err
	}
	return logged[0], nil
}

// logged puts what became of batches beside what was promised, and tells their
// times as the maker's clock does.
func (w *Workshop) logged(ctx context.Context, batches ...store.Poured) ([]Logged, error) {
	drops, err := w.dropsOf(ctx, batches)
	if err != nil {
		return nil, err
	}
	out := make([]Logged, len(batches))
	for i, p := range batches {
		p.PouredAt = p.PouredAt.In(w.Now().Location())
		out[i] = Logged{Poured: p}
		for _, c := range p.Colours {
			out[i].Outcomes = append(out[i].Outcomes, outcome(c, drops))
		}
	}
	return out, nil
}

// dropsOf fetches the swatches of batches by their numbers.
func (w *Workshop) dropsOf(ctx context.Context, batches []store.Poured) (map[int64]wax.Swatch, error) {
	var ids []int64
	for _, p := range batches {
		for _, c := range p.Colours {
			if c.SwatchID != 0 {
				ids = append(ids, c.SwatchID)
			}
		}
	}
	if ids == nil {
		return nil, nil // a filter without ids would ask for all
	}
	swatches, err := w.Store.Swatches(ctx, store.Filter{IDs: ids})
	if err != nil {
		return nil, err
	}
	drops := map[int64]wax.Swatch{}
	for _, s := range swatches {
		drops[s.ID] = s
	}
	return drops, nil
}

func outcome(c store.PouredColour, drops map[int64]wax.Swatch) *Outcome {
	drop, read := drops[c.SwatchID]
	if !read {
		return nil
	}
	o := &Outcome{Swatch: drop}
	if c.Promise != nil {
		miss := spectrum.DE00(c.Promise.Drop.Lab, drop.Colour.Lab)
		o.MissDE00 = &miss
	}
	return o
}
