package workshop

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"

	"setshade/internal/english"
	"setshade/internal/photo"
	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// pictured is a photograph of the store, read again, without its picture.
type pictured struct {
	store.KeptPhoto
	photo.Reading
}

// sameCard are the recorded photographs of a card in one state, the first recorded
// first; that one has the swatches. There are none of a state that is new.
type sameCard struct {
	number   int64
	pictured []pictured
	swatches []wax.Swatch
}

// IsRecorded returns the SHA-256 of a photograph and whether it is in the store.
func (w *Workshop) IsRecorded(ctx context.Context, bytes []byte) (hash string, is bool, err error) {
	hash = fmt.Sprintf("%x", sha256.Sum256(bytes))
	photos, err := w.Store.Photos(ctx)
	return hash, slices.ContainsFunc(photos, func(p store.KeptPhoto) bool { return p.SHA256 == hash }), err
}

// PlanOf returns the plan of a recorded photograph, without the light of that one.
func (w *Workshop) PlanOf(ctx context.Context, hash string) (plan.Plan, error) {
	kept, err := w.Store.Photo(ctx, hash)
	if err != nil {
		return plan.Plan{}, err
	}
	p, err := plan.Parse(kept.PlanText)
	p.Light = ""
	return p, err
}

// sameCardAs reads the photographs again that show the card of a recorded one in a
// state. A photograph that cannot be read is an error: what it tells of the card would
// be lost.
func (w *Workshop) sameCardAs(ctx context.Context, hash string, state wax.State, known strips) (sameCard, error) {
	first, err := w.Store.Photo(ctx, hash)
	if err != nil {
		return sameCard{}, err
	}
	photos, err := w.Store.PhotosOf(ctx, first.Card)
	if err != nil {
		return sameCard{}, err
	}
	card := sameCard{number: first.Card}
	for _, p := range photos {
		if said, err := plan.Parse(p.PlanText); err != nil || said.State != state {
			continue
		}
		kept, err := w.Store.Photo(ctx, p.SHA256)
		if err != nil {
			return sameCard{}, fmt.Errorf("of the same card, %w", err)
		}
		seen, err := lookAgain(kept, known)
		if err != nil {
			return sameCard{}, fmt.Errorf("the photograph %s of the same card cannot be read any more: %w", p.Name, err)
		}
		card.pictured = append(card.pictured, pictured{p, seen})
	}
	if len(card.pictured) > 0 {
		card.swatches, err = w.swatchesOf(ctx, card.pictured[0].SHA256)
	}
	return card, err
}

// swatchesOf are those of one photograph.
func (w *Workshop) swatchesOf(ctx context.Context, hash string) ([]wax.Swatch, error) {
	return w.Store.Swatches(ctx, store.Filter{Photo: hash})
}

// SwatchesOf returns the numbers of the swatches of a photograph.
func (w *Workshop) SwatchesOf(ctx context.Context, hash string) (ids []int64, err error) {
	swatches, err := w.swatchesOf(ctx, hash)
	for _, s := range swatches {
		ids = append(ids, s.ID)
	}
	return ids, err
}

// plansRemembered is how many cards back the doses of a new one are looked for.
const plansRemembered = 24

// SameAsLast returns the plan of the card recorded last whose drops have these numbers; ok
// is false without one.
func (w *Workshop) SameAsLast(ctx context.Context, numbers []int) (p plan.Plan, ok bool, err error) {
	texts, err := w.Store.PlansSaid(ctx, plansRemembered)
	for _, text := range texts {
		p, err := plan.Parse(text)
		same := err == nil && slices.EqualFunc(p.Drops, numbers, func(d plan.Drop, n int) bool { return d.Number == n })
		if same {
			return p, true, nil
		}
	}
	return plan.Plan{}, false, err
}

// with measures the swatches of the card by its photographs and one more. The doses of
// its plan must be those of the swatches.
func (c sameCard) with(seen photo.Reading, planned []wax.Swatch) ([]wax.Swatch, []string, error) {
	for _, s := range c.swatches {
		i := slices.IndexFunc(planned, func(p wax.Swatch) bool { return p.Drop == s.Drop })
		if i < 0 || planned[i].Wax != s.Wax || planned[i].Recipe.String() != s.Recipe.String() || planned[i].Thick != s.Thick {
			return nil, nil, fmt.Errorf("drop %d is another by this plan than swatch %d, which was recorded of it: leave the plan out to take that of %s, or record the photograph as another card", s.Drop, s.ID, c.pictured[0].Name)
		}
	}
	readings := []photo.Reading{}
	var names []string
	for _, p := range c.pictured {
		readings, names = append(readings, p.Reading), append(names, p.Name)
	}
	swatches, notes, err := combined(c.swatches, append(readings, seen))
	return swatches, append(notes, "read together with "+english.And(names)+", which shows the same card: each drop keeps its one swatch"), err
}

// readingsOf are what the store is to keep of the photographs, the first with swatches.
func (c sameCard) readingsOf(swatches []wax.Swatch) []store.Reading {
	var out []store.Reading
	for i, p := range c.pictured {
		r := store.Reading{SHA256: p.SHA256, Photo: readingOf(p.Reading)}
		r.Photo.Name, r.Photo.RecordedAt, r.Photo.With, r.Photo.Anchor = p.Name, p.RecordedAt, p.With, nil
		if i == 0 {
			r.Swatches = swatches
		}
		out = append(out, r)
	}
	return out
}

// combined measures swatches by all readings of their card. What was read over the
// black bar has no covariance with the rest, and is taken from the surest reading.
func combined(swatches []wax.Swatch, readings []photo.Reading) ([]wax.Swatch, []string, error) {
	both, err := photo.Combine(readings...)
	if err != nil {
		return nil, nil, err
	}
	out := slices.Clone(swatches)
	for i := range out {
		s := &out[i]
		k := slices.IndexFunc(readings[0].Drops, func(d photo.Drop) bool { return d.Number == s.Drop })
		if k < 0 {
			return nil, nil, otherNumbers(s.Drop)
		}
		measure(s, readings[0].Drops[k], readings[0].Bar)
		s.Colour = both.Colours[k]
		for _, r := range readings[1:] {
			if over := r.Drops[k].OverBlack; over != nil && r.Bar != nil && (s.OverBlack == nil || doubt(over) < doubt(s.OverBlack)) {
				s.OverBlack, s.Bar = over, r.Bar
			}
		}
	}
	return out, both.Notes, nil
}

// doubt is the sum of the variances.
func doubt(m *spectrum.Measured) float64 { return m.Cov[0][0] + m.Cov[1][1] + m.Cov[2][2] }

func otherNumbers(drop int) error {
	return fmt.Errorf("its drops now have other numbers, and drop %d is not among them; remove its swatches and record it again", drop)
}

// withLight writes into the plan the light that the maker tells beside it.
func withLight(text string, said plan.Plan, light wax.Light) (string, error) {
	switch light {
	case "", said.Light:
		return text, nil
	}
	if said.Light != "" {
		return "", fmt.Errorf("its line \"under %s\" says another light than %s; change one of the two", said.Light, light)
	}
	return strings.TrimRight(text, "\n") + "\nunder " + string(light) + "\n", nil
}
