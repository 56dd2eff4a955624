package store

import (
	"context"
	"strings"

	"setshade/internal/wax"
)

// Replace puts a new reading of a photograph, and of its drops, in place of the old
// one, all or nothing. Of the photograph it takes what the reader tells, and its
// Anchor, which replaces the old one; of the swatches, which are found by their IDs,
// what was measured. Numbers, doses, states and marks for checking stay. It fails
// with ErrNotFound when the photograph or a swatch of it is gone.
func (s *Store) Replace(ctx context.Context, sha256Hex string, p Photo, swatches []wax.Swatch) error {
	if err := p.validateReading(); err != nil {
		return err
	}
	if err := validateSwatches(p.Name, swatches); err != nil {
		return err
	}
	return s.write(ctx, func(tx querier) error {
		if err := replaceReading(ctx, tx, sha256Hex, p); err != nil {
			return err
		}
		for i := range swatches {
			if err := replaceMeasured(ctx, tx, sha256Hex, &swatches[i]); err != nil {
				return err
			}
		}
		return keepAnchor(ctx, tx, p, sha256Hex, replaceStrip)
	})
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
