package store

import (
	"context"
	"fmt"

	"setshade/internal/wax"
)

// Record keeps a photograph and the swatches read from it, all or nothing, and
// returns the swatches as stored: numbered, with the names of wax and dyes as
// the shelf writes them, and with their Photo, whatever it was before. Of a
// covariance, which is symmetric, the upper half is kept.
//
// It fails with ErrNotFound when a wax or dye is not on the shelf, with
// ErrExists when the same bytes are already recorded or the card has a swatch of the
// drop in that state, and with ErrInvalid when
// a swatch cannot be. The photo's Anchor is kept unless its print has one. It panics when photo.RecordedAt is not set.
func (s *Store) Record(ctx context.Context, photo Photo, swatches []wax.Swatch) ([]wax.Swatch, error) {
	if err := photo.validate(); err != nil {
		return nil, err
	}
	if err := validateSwatches(photo.Name, swatches); err != nil {
		return nil, err
	}
	return s.file(ctx, photo, func(tx querier, hash string) ([]int64, error) { return s.insert(ctx, tx, photo, hash, swatches) })
}

// Add keeps a further photograph of a card in a state, and puts in place of the old
// numbers those that all of its photographs tell together, all or nothing: readings has
// one of each photograph that is there, and of them the one that photo is With has the
// swatches. It returns those as they now are, and fails as Record and Replace do.
func (s *Store) Add(ctx context.Context, photo Photo, readings ...Reading) ([]wax.Swatch, error) {
	if err := photo.validate(); err != nil {
		return nil, err
	}
	if err := validateReadings(readings); err != nil {
		return nil, err
	}
	return s.file(ctx, photo, func(tx querier, hash string) ([]int64, error) {
		if _, err := insertPhoto(ctx, tx, photo, hash, len(photo.Bytes)); err != nil {
			return nil, err
		}
		var ids []int64
		for _, r := range readings {
			if err := r.replace(ctx, tx, leaveStrip); err != nil {
				return nil, err
			}
			for _, sw := range r.Swatches {
				ids = append(ids, sw.ID)
			}
		}
		return ids, keepAnchor(ctx, tx, photo, hash, leaveStrip)
	})
}

// file keeps a photograph with its rows, which put writes, and returns the swatches of
// the numbers that put returns.
func (s *Store) file(ctx context.Context, photo Photo, put func(tx querier, hash string) ([]int64, error)) ([]wax.Swatch, error) {
	hash := hashOf(photo.Bytes)
	var recorded []wax.Swatch
	filed := false
	err := s.write(ctx, func(tx querier) error {
		if photo.Replaces {
			ids, err := readColumn[int64](ctx, tx, "SELECT s.id FROM swatches s JOIN photos p ON p.id = s.photo_id WHERE p.sha256 = ?", hash)
			if err == nil {
				err = removeRows(ctx, tx, idList(ids))
			}
			if err != nil {
				return err
			}
		}
		if err := refuseRecorded(ctx, tx, photo.Name, hash); err != nil {
			return err
		}
		ids, err := put(tx, hash)
		if err != nil {
			return err
		}
		if recorded, err = list(ctx, tx, selection{ids: ids}); err != nil {
			return err
		}
		filed = true
		if err := s.photos.put(hash, photo.Bytes); err != nil {
			return fmt.Errorf("the photograph %s could not be written to the store, and nothing was recorded; see that its disk has room and can be written (%w)", photo.Name, err)
		}
		return nil
	})
	if err != nil {
		if filed {
			s.discardPhoto(context.WithoutCancel(ctx), hash)
		}
		return nil, err
	}
	return recorded, nil
}

// discardPhoto deletes the file of a photograph that no row names and no undo brings
// back. The write lock keeps others from recording that photograph meanwhile.
func (s *Store) discardPhoto(ctx context.Context, hash string) error {
	return s.transact(ctx, func(tx querier) error {
		var rows int
		const count = "SELECT (SELECT count(*) FROM photos WHERE sha256 = ?1) + (SELECT count(*) FROM undo WHERE photo = ?1)"
		if err := tx.QueryRowContext(ctx, count, hash).Scan(&rows); err != nil || rows > 0 {
			return err
		}
		return s.photos.remove(hash)
	})
}

func refuseRecorded(ctx context.Context, tx querier, name, hash string) error {
	const ask = "SELECT s.id FROM photos p JOIN swatches s ON s.photo_id = coalesce(p.with_id, p.id) WHERE p.sha256 = ? ORDER BY s.id"
	ids, err := readColumn[int64](ctx, tx, ask, hash)
	if err != nil || len(ids) == 0 {
		return err
	}
	return refuse(ErrExists, "the photograph %s is already recorded as %s; remove them to record it again", name, numbered(ids))
}

func (s *Store) insert(ctx context.Context, tx querier, photo Photo, hash string, swatches []wax.Swatch) ([]int64, error) {
	photoID, err := insertPhoto(ctx, tx, photo, hash, len(photo.Bytes))
	if err != nil {
		return nil, err
	}
	if err := keepAnchor(ctx, tx, photo, hash, leaveStrip); err != nil {
		return nil, err
	}
	waxes, dyes := newFinder(s.Waxes), newFinder(s.Dyes)
	ids := make([]int64, len(swatches))
	for i := range swatches {
		if ids[i], err = insertSwatchOf(ctx, tx, waxes, dyes, photoID, &swatches[i]); err != nil {
			return nil, err
		}
	}
	return ids, refuseTwice(ctx, tx, "WHERE p.card_id = ?", photo.Card)
}

func insertPhoto(ctx context.Context, tx querier, photo Photo, hash string, byteCount int) (int64, error) {
	var with *int64
	if photo.With != "" {
		found, err := readAll(ctx, tx, "SELECT id, card_id FROM photos WHERE sha256 = ? AND with_id IS NULL", []any{photo.With}, func(f *[2]int64) []any { return []any{&f[0], &f[1]} })
		if err != nil {
			return 0, err
		}
		if len(found) == 0 {
			return 0, refuse(ErrNotFound, "the photograph together with which %s was read is not in the store", photo.Name)
		}
		with, photo.Card = &found[0][0], found[0][1]
	}
	if photo.Card == 0 {
		var err error
		if photo.Card, err = inserted(ctx, tx, "INSERT INTO cards DEFAULT VALUES"); err != nil {
			return 0, err
		}
	}
	row := append([]any{hash, byteCount, with}, photo.recorded()...)
	return inserted(ctx, tx, "INSERT INTO photos (sha256, byte_count, with_id, "+recordedColumns+") VALUES ("+places(len(row))+")", row...)
}

// twice returns the first swatches of those drops of a card that have several in one
// state.
func twice(ctx context.Context, q querier, where string, args ...any) ([]int64, error) {
	return readColumn[int64](ctx, q, "SELECT min(s.id) FROM photos p JOIN swatches s ON s.photo_id = p.id "+where+
		" GROUP BY p.card_id, s.drop_number, s.state HAVING count(*) > 1 ORDER BY 1", args...)
}

func refuseTwice(ctx context.Context, tx querier, where string, args ...any) error {
	found, err := twice(ctx, tx, where, args...)
	if err != nil || len(found) == 0 {
		return err
	}
	return refuse(ErrExists, "drops of one card are already recorded in that state as %s; nothing was recorded", numbered(found))
}

func insertSwatchOf(ctx context.Context, tx querier, waxes finder[wax.Wax], dyes finder[wax.Dye], photoID int64, sw *wax.Swatch) (int64, error) {
	waxID, err := waxes.id(ctx, tx, sw.Wax)
	if err != nil {
		return 0, err
	}
	id, err := inserted(ctx, tx, insertSwatch, append([]any{waxID, photoID}, rowOf(sw).columns()...)...)
	if err != nil {
		return 0, err
	}
	const insert = "INSERT INTO swatch_parts (swatch_id, dye_id, dose_g_per_kg) VALUES (?, ?, ?)"
	return id, insertRecipe(ctx, tx, dyes, insert, id, fmt.Sprintf("drop %d", sw.Drop), sw.Recipe)
}

// insertRecipe keeps the parts of a recipe, each dye once, of the owner with the id.
func insertRecipe(ctx context.Context, tx querier, dyes finder[wax.Dye], insert string, owner int64, noun string, recipe wax.Recipe) error {
	given := map[int64]bool{}
	for _, part := range recipe {
		dyeID, err := dyes.id(ctx, tx, part.Dye)
		if err != nil {
			return err
		}
		if given[dyeID] {
			return refuse(ErrInvalid, "%s has %s twice in its recipe; give each dye once", noun, part.Dye)
		}
		given[dyeID] = true
		if _, err := tx.ExecContext(ctx, insert, owner, dyeID, part.DoseGPerKg); err != nil {
			return err
		}
	}
	return nil
}

// inserted runs an INSERT and returns the id of the new row.
func inserted(ctx context.Context, tx querier, insert string, args ...any) (int64, error) {
	result, err := tx.ExecContext(ctx, insert, args...)
	if err != nil {
		return 0, err
	}
	return result.LastInsertId()
}

// finder asks the shelf for each name once.
type finder[T entry] struct {
	shelf *Shelf[T]
	found map[string]int64
}

func newFinder[T entry](shelf *Shelf[T]) finder[T] {
	return finder[T]{shelf: shelf, found: map[string]int64{}}
}

func (f finder[T]) id(ctx context.Context, q querier, name string) (int64, error) {
	if id, ok := f.found[name]; ok {
		return id, nil
	}
	id, err := f.shelf.id(ctx, q, name)
	if err == nil {
		f.found[name] = id
	}
	return id, err
}

// numbered writes ids, which must be in order and at least one, as a sentence
// does: "swatches 12 to 20", "swatches 3, 5 and 7 to 9", "swatch 4".
func numbered(ids []int64) string {
	if len(ids) == 1 {
		return fmt.Sprintf("swatch %d", ids[0])
	}
	var runs []string
	for first := 0; first < len(ids); {
		last := first
		for last+1 < len(ids) && ids[last+1] == ids[last]+1 {
			last++
		}
		run := fmt.Sprint(ids[first])
		if last > first {
			run = fmt.Sprintf("%d to %d", ids[first], ids[last])
		}
		runs = append(runs, run)
		first = last + 1
	}
	return "swatches " + listed(runs)
}
