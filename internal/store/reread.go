package store

import (
	"context"
	"errors"
	"strings"
	"time"

	"setshade/internal/wax"
)

// Reading is what a reader makes anew of a photograph and of its drops.
type Reading struct {
	SHA256 string
	// Photo gives what the reader tells, and its Anchor.
	Photo Photo
	// Swatches are found by their IDs, and give what was measured.
	Swatches []wax.Swatch
}

// Replace puts new readings in place of the old ones, all or nothing. Numbers,
// doses, states and marks for checking stay; a reading's Anchor replaces the old
// one. Where the photograph or a swatch of it is gone, that reading alone is left
// out: left tells why by the photograph's hash, with an error that is ErrNotFound. What
// was there before can be brought back; at is the time.
func (s *Store) Replace(ctx context.Context, at time.Time, readings ...Reading) (left map[string]error, err error) {
	if err := validateReadings(readings); err != nil {
		return nil, err
	}
	left = map[string]error{}
	err = s.write(ctx, func(tx querier) error {
		if err := s.keepEarlier(ctx, tx, at); err != nil {
			return err
		}
		for _, r := range readings {
			err := inPart(ctx, tx, func() error { return r.replace(ctx, tx, replaceStrip) })
			switch {
			case errors.Is(err, ErrNotFound):
				left[r.SHA256] = err
			case err != nil:
				return err
			}
		}
		return nil
	})
	return left, err
}

// validateReadings refuses what cannot be. A photograph that was read together with
// another has no swatches.
func validateReadings(readings []Reading) error {
	for _, r := range readings {
		if err := r.Photo.validateReading(); err != nil {
			return err
		}
		if len(r.Swatches) == 0 && r.Photo.With != "" {
			continue
		}
		if err := validateSwatches(r.Photo.Name, r.Swatches); err != nil {
			return err
		}
	}
	return nil
}

// inPart runs a part of a transaction, which is undone alone when it fails
// (sqlite.org/lang_savepoint.html).
func inPart(ctx context.Context, tx querier, do func() error) error {
	if _, err := tx.ExecContext(ctx, "SAVEPOINT part"); err != nil {
		return err
	}
	failed := do()
	end := "RELEASE part"
	if failed != nil {
		end = "ROLLBACK TO part; RELEASE part"
	}
	_, err := tx.ExecContext(ctx, end)
	if failed != nil {
		return failed
	}
	return err
}

func (r Reading) replace(ctx context.Context, tx querier, conflict string) error {
	if err := replaceReading(ctx, tx, r.SHA256, r.Photo); err != nil {
		return err
	}
	for i := range r.Swatches {
		if err := replaceMeasured(ctx, tx, r.SHA256, &r.Swatches[i]); err != nil {
			return err
		}
	}
	return keepAnchor(ctx, tx, r.Photo, r.SHA256, conflict)
}

func replaceReading(ctx context.Context, tx querier, sha256Hex string, p Photo) error {
	update := "UPDATE photos SET " + assigned(readingColumns) + " WHERE sha256 = ?"
	return changeOne(ctx, tx, "the photograph "+p.Name, update, append(p.reading(), sha256Hex)...)
}

func replaceMeasured(ctx context.Context, tx querier, sha256Hex string, sw *wax.Swatch) error {
	update := "UPDATE swatches SET " + assigned(measuredColumns) + " WHERE id = ? AND photo_id = (SELECT id FROM photos WHERE sha256 = ?)"
	return changeOne(ctx, tx, numbered([]int64{sw.ID}), update, append(rowOf(sw).measured(), sw.ID, sha256Hex)...)
}

// changeOne runs an UPDATE that must find its row.
func changeOne(ctx context.Context, tx querier, what, update string, args ...any) error {
	result, err := tx.ExecContext(ctx, update, args...)
	if err != nil {
		return err
	}
	found, err := result.RowsAffected()
	if err == nil && found == 0 {
		return refuse(ErrNotFound, "%s is no longer in the store; its numbers were not replaced", what)
	}
	return err
}

// assigned writes columns for SET.
func assigned(columns string) string {
	names := strings.Split(columns, ",")
	for i, name := range names {
		names[i] = strings.TrimSpace(name) + " = ?"
	}
	return strings.Join(names, ", ")
}
