package store

import (
	"context"
	"fmt"
)

// SetCheck marks swatches as kept back for checking predictions, or takes the
// mark off. It fails with ErrNotFound, and changes none, unless all are there.
func (s *Store) SetCheck(ctx context.Context, check bool, ids ...int64) error {
	return s.write(ctx, func(tx querier) error {
		if err := refuseUnknown(ctx, tx, ids); err != nil {
			return err
		}
		const update = "UPDATE swatches SET kept_for_check = ? WHERE id IN (SELECT value FROM json_each(?))"
		_, err := tx.ExecContext(ctx, update, check, idList(ids))
		return err
	})
}

// RemoveSwatches removes swatches for good. With the last swatch of a
// photograph go the photograph and those read together with it. It fails with ErrNotFound, and removes none,
// unless all are there.
func (s *Store) RemoveSwatches(ctx context.Context, ids ...int64) error {
	var unused []string
	err := s.write(ctx, func(tx querier) error {
		if err := refuseUnknown(ctx, tx, ids); err != nil {
			return err
		}
		var err error
		unused, err = removeRows(ctx, tx, idList(ids))
		return err
	})
	if err != nil {
		return err
	}
	for _, hash := range unused {
		if err := s.discardPhoto(context.WithoutCancel(ctx), hash); err != nil {
			return fmt.Errorf("the swatches are removed, but the file %s of their photograph is still there: %w", s.photos.file(hash), err)
		}
	}
	return nil
}

// removeRows removes swatches and the photos left without any, and returns the
// hashes of those.
func removeRows(ctx context.Context, tx querier, ids idList) ([]string, error) {
	photoIDs, err := readColumn[int64](ctx, tx, "DELETE FROM swatches WHERE id IN (SELECT value FROM json_each(?)) RETURNING photo_id", ids)
	if err != nil {
		return nil, err
	}
	// Those that were read together with another go first, since they refer to it.
	const unused = ` IN (SELECT value FROM json_each(?)) AND NOT EXISTS (SELECT 1 FROM swatches WHERE photo_id = coalesce(with_id, photos.id)) RETURNING sha256`
	hashes, err := readColumn[string](ctx, tx, "DELETE FROM photos WHERE with_id"+unused, idList(photoIDs))
	if err != nil {
		return nil, err
	}
	more, err := readColumn[string](ctx, tx, "DELETE FROM photos WHERE id"+unused, idList(photoIDs))
	if err == nil && len(more) > 0 {
		_, err = tx.ExecContext(ctx, "DELETE FROM cards WHERE id NOT IN (SELECT card_id FROM photos)")
	}
	return append(hashes, more...), err
}

func refuseUnknown(ctx context.Context, tx querier, ids []int64) error {
	const ask = "SELECT DISTINCT value FROM json_each(?) WHERE value NOT IN (SELECT id FROM swatches) ORDER BY value"
	unknown, err := readColumn[int64](ctx, tx, ask, idList(ids))
	if err != nil || len(unknown) == 0 {
		return err
	}
	return refuse(ErrNotFound, "not in the store: %s; nothing was changed", numbered(unknown))
}
