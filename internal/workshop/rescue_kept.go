package workshop

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// KeptRescue is a rescue in the store, as it stands.
type KeptRescue struct {
	store.Rescue
	Course Course
	// Outcome is the drop that was read of the mended batch; nil while there is none.
	Outcome *Outcome
}

// Followed counts what was added so far.
func (k KeptRescue) Followed() int {
	n := 0
	for _, e := range k.Course.Events {
		if e.Added != nil {
			n++
		}
	}
	return n
}

// BeginRescue says what to add to a batch, as Rescue does, and keeps it where there are
// steps to follow, with what is set aside as stock when aside is true. The same trouble
// told again, before a step was followed, is the same rescue. A store that cannot be written keeps nothing, and the
// answer notes it.
func (w *Workshop) BeginRescue(ctx context.Context, t Trouble, aside bool) (Remedy, error) {
	r, c, err := w.Rescue(ctx, t)
	if err != nil || c.Next == nil && !aside {
		return r, err
	}
	err = w.keepRescue(ctx, store.Rescue{Wax: c.Wax}, &r, c, aside, false)
	if errors.Is(err, store.ErrReadOnly) && !aside {
		r.Notes = append(r.Notes, "the rescue is not kept, since the store cannot be written")
		return r, nil
	}
	return r, err
}

// keepRescue keeps how a rescue stands now, and numbers its answer and its stock. One
// without a number may be there already: as it stands, or with adopted as it once stood.
func (w *Workshop) keepRescue(ctx context.Context, of store.Rescue, r *Remedy, c Course, aside, adopted bool) error {
	course, err := json.Marshal(c)
	if err != nil {
		return err
	}
	var stock *wax.Stock
	switch {
	case aside && r.SetAside == nil:
		r.Notes = append(r.Notes, "nothing is set aside, so no stock was kept")
	case aside:
		r.SetAside.SetAsideAt = w.Now()
		stock = r.SetAside
	}
	kept := of
	if of.Number == 0 {
		if kept, err = w.rescueThatStood(ctx, string(course), stock != nil, adopted); err != nil {
			return err
		}
	}
	if kept.Number == 0 || of.Number != 0 {
		if kept, err = w.Store.KeepRescue(ctx, of, store.RescueStep{At: w.Now(), Course: string(course)}, stock); err != nil {
			return err
		}
	}
	r.Number = kept.Number
	if number := kept.Steps[len(kept.Steps)-1].Stock; r.SetAside != nil {
		r.SetAside.Number = number
	}
	return nil
}

// rescueThatStood finds the last rescue that stands so, or with once stood so; its Number
// is 0 for none. With withStock it is one that set something aside then.
func (w *Workshop) rescueThatStood(ctx context.Context, course string, withStock, once bool) (found store.Rescue, err error) {
	all, err := w.Store.Rescues(ctx)
	for _, r := range all {
		for i, s := range r.Steps {
			if s.Course == course && (s.Stock != 0 || !withStock) && (once || i == len(r.Steps)-1) {
				found = r
			}
		}
	}
	return found, err
}

// AdoptRescue takes a rescue that was kept elsewhere, as in a file, into the store, and
// returns its number; one that was taken before is not taken again.
func (w *Workshop) AdoptRescue(ctx context.Context, c Course) (int64, error) {
	r, _, err := w.followed(ctx, c, nil, seenDrop{}, "")
	if err == nil {
		err = w.keepRescue(ctx, store.Rescue{Wax: c.Wax}, &r, c, false, true)
	}
	return r.Number, err
}

// ContinueKept goes on with a rescue of the store, as ContinueRescue does.
func (w *Workshop) ContinueKept(ctx context.Context, number int64, added []string, drop string, believe Belief, aside bool) (Remedy, error) {
	kept, err := w.Rescued(ctx, number)
	if err != nil {
		return Remedy{}, err
	}
	r, c, err := w.ContinueRescue(ctx, kept.Course, added, drop, believe)
	if err != nil {
		return r, err
	}
	r.Number = number
	if len(c.Events) == len(kept.Course.Events) {
		return r, nil
	}
	return r, w.keepRescue(ctx, kept.Rescue, &r, c, aside, false)
}

// ShowRescue tells the answer of a rescue of the store again, and what came of it.
func (w *Workshop) ShowRescue(ctx context.Context, number int64) (Remedy, error) {
	kept, err := w.Rescued(ctx, number)
	if err != nil {
		return Remedy{}, err
	}
	r, _, err := w.followed(ctx, kept.Course, nil, seenDrop{}, "")
	r.Number, r.Outcome = number, kept.Outcome
	if last := kept.Steps[len(kept.Steps)-1]; r.SetAside != nil {
		r.SetAside.Number = last.Stock
	}
	return r, err
}

// TakeRescueBack takes the last step of a rescue back, and tells its answer as it was.
func (w *Workshop) TakeRescueBack(ctx context.Context, number int64) (Remedy, error) {
	_, gone, err := w.Store.TakeRescueBack(ctx, number)
	if err != nil {
		return Remedy{}, err
	}
	r, err := w.ShowRescue(ctx, number)
	if gone != 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("stock %d, which was set aside with the step, is off the list", gone))
	}
	return r, err
}

// LinkRescue says which set drop was read of the mended batch, 0 for none, and refuses
// one that cannot be of it.
func (w *Workshop) LinkRescue(ctx context.Context, number, swatchID int64) (Remedy, error) {
	kept, err := w.Rescued(ctx, number)
	if err != nil {
		return Remedy{}, err
	}
	if swatchID != 0 {
		drop, err := w.Store.Swatch(ctx, swatchID)
		if err != nil {
			return Remedy{}, err
		}
		r, err := w.ShowRescue(ctx, number)
		if err != nil {
			return Remedy{}, err
		}
		if err := isOf(drop, fmt.Sprintf("rescue %d", number), kept.Wax, r.After.Recipe, kept.BegunAt); err != nil {
			return Remedy{}, err
		}
	}
	if _, err := w.Store.LinkRescue(ctx, number, swatchID); err != nil {
		return Remedy{}, err
	}
	return w.ShowRescue(ctx, number)
}

// Rescues returns the rescues of the store in order of number.
func (w *Workshop) Rescues(ctx context.Context) ([]KeptRescue, error) {
	all, err := w.Store.Rescues(ctx)
	var kept []KeptRescue
	for i := 0; err == nil && i < len(all); i++ {
		var k KeptRescue
		k, err = w.keptRescue(ctx, all[i])
		kept = append(kept, k)
	}
	return kept, err
}

// Rescued returns one rescue of the store.
func (w *Workshop) Rescued(ctx context.Context, number int64) (KeptRescue, error) {
	r, err := w.Store.Rescue(ctx, number)
	if err != nil {
		return KeptRescue{}, err
	}
	return w.keptRescue(ctx, r)
}

func (w *Workshop) keptRescue(ctx context.Context, r store.Rescue) (KeptRescue, error) {
	r.BegunAt = r.BegunAt.In(w.Now().Location())
	k := KeptRescue{Rescue: r}
	var err error
	if k.Course, err = ParseCourse([]byte(r.Steps[len(r.Steps)-1].Course)); err != nil {
		return k, fmt.Errorf("rescue %d cannot be continued: %w", r.Number, err)
	}
	k.Course.Wax = r.Wax
	if r.SwatchID == 0 {
		return k, nil
	}
	drop, err := w.Store.Swatch(ctx, r.SwatchID)
	k.Outcome = &Outcome{Swatch: drop}
	if k.Course.Target.Thick == drop.Thick { // a drop on card lets the card through
		miss := spectrum.DE00(k.Course.Target.Colour.Lab, drop.Colour.Lab)
		k.Outcome.MissDE00 = &miss
	}
	return k, err
}
