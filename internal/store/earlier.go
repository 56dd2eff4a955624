package store

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"setshade/internal/wax"
)

// Earlier is what the numbers, the anchors and the models were before the photographs
// were last read again. Contents are JSON that only this package reads.
type Earlier struct {
	At       time.Time
	Contents string
}

// before is the shape of Earlier.Contents.
type before struct {
	// Readings have no plan, and their swatches no doses: those were not replaced.
	Readings []Reading
	Anchors  []KeptStrip
	Learned  []Lesson
}

// keepEarlier keeps what is there, in place of what was kept before.
func (s *Store) keepEarlier(ctx context.Context, tx querier, at time.Time) error {
	now, err := s.contents(ctx, tx)
	if err != nil {
		return err
	}
	b := before{Learned: now.Learned}
	of := map[string]int{}
	for i, p := range now.Photos {
		p.PlanText, p.Chart = "", nil
		b.Readings = append(b.Readings, Reading{SHA256: p.SHA256, Photo: p.Photo})
		of[p.SHA256] = i
	}
	for _, sw := range now.Swatches {
		r := &b.Readings[of[sw.Photo.SHA256]]
		sw.Photo, sw.Recipe = wax.PhotoRef{}, nil
		r.Swatches = append(r.Swatches, sw)
	}
	for _, k := range now.Strips {
		if k.Kind == Anchor {
			b.Anchors = append(b.Anchors, k)
		}
	}
	contents, err := json.Marshal(b)
	if err != nil {
		return err
	}
	return saveEarlier(ctx, tx, &Earlier{at, string(contents)})
}

// saveEarlier keeps nothing of nil.
func saveEarlier(ctx context.Context, tx querier, e *Earlier) error {
	if e == nil {
		return nil
	}
	if err := json.Unmarshal([]byte(e.Contents), &before{}); err != nil {
		return because(ErrInvalid, err, "what was there before the photographs were read again cannot be read")
	}
	const save = "INSERT OR REPLACE INTO earlier (id, kept_at, contents) VALUES (1, ?, ?)"
	_, err := tx.ExecContext(ctx, save, utcText(e.At), e.Contents)
	return err
}

func earlier(ctx context.Context, q querier) (*Earlier, error) {
	found, err := readAll(ctx, q, "SELECT kept_at, contents FROM earlier", nil, func(e *Earlier) []any {
		return []any{(*utcText)(&e.At), &e.Contents}
	})
	if err != nil || len(found) == 0 {
		return nil, err
	}
	return &found[0], nil
}

// ReplacedAt is when numbers were last put in place of others; zero for never.
func (s *Store) ReplacedAt(ctx context.Context) (time.Time, error) {
	kept, err := earlier(ctx, s.db)
	if err != nil || kept == nil {
		return time.Time{}, explain(s.path, err)
	}
	return kept.At, nil
}

// BringBack puts the numbers, anchors and models in place that were there before the
// photographs were last read again, all or nothing, and keeps the present ones in their
// stead, so that a second BringBack undoes the first; at is the time. What was recorded
// since stays as it is. It returns when the photographs were read again, and fails with
// ErrNotFound where they never were.
func (s *Store) BringBack(ctx context.Context, at time.Time) (time.Time, error) {
	var since time.Time
	err := s.write(ctx, func(tx querier) error {
		kept, err := earlier(ctx, tx)
		if err != nil {
			return err
		}
		if kept == nil {
			return refuse(ErrNotFound, "no numbers were put in place of others in this store, so there is nothing to bring back")
		}
		var b before
		if err := json.Unmarshal([]byte(kept.Contents), &b); err != nil {
			return err
		}
		since = kept.At
		if err := s.keepEarlier(ctx, tx, at); err != nil {
			return err
		}
		for _, r := range b.Readings {
			// Photographs and swatches that were removed since are passed over.
			if err := replaceReading(ctx, tx, r.SHA256, r.Photo); err != nil && !errors.Is(err, ErrNotFound) {
				return err
			}
			for i := range r.Swatches {
				if err := replaceMeasured(ctx, tx, r.SHA256, &r.Swatches[i]); err != nil && !errors.Is(err, ErrNotFound) {
					return err
				}
			}
		}
		// An anchor that came with the reading is named by a photograph of before it.
		if _, err := tx.ExecContext(ctx, "DELETE FROM strips WHERE kind = ? AND kept_at <= ?", string(Anchor), utcText(since)); err != nil {
			return err
		}
		for _, k := range b.Anchors {
			if err := keepStrip(ctx, tx, k, replaceStrip); err != nil {
				return err
			}
		}
		for _, l := range b.Learned {
			if err := s.saveLearned(ctx, tx, l.Wax, l.Model, l.At); err != nil && !errors.Is(err, ErrNotFound) {
				return err
			}
		}
		return nil
	})
	return since, err
}
