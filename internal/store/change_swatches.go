package store

import (
	"context"

	"setshade/internal/wax"
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

// RevisedDye is a dye as it is corrected, with the name that it had.
type RevisedDye struct {
	Name string
	Dye  wax.Dye
}

// SetDoses gives swatches other recipes, together with the dye for the sake of which they
// move, nil for none, all or nothing. It fails with ErrNotFound and with ErrInvalid.
func (s *Store) SetDoses(ctx context.Context, doses map[int64]wax.Recipe, revised *RevisedDye) error {
	if revised != nil {
		if err := s.Dyes.validate(revised.Dye); err != nil {
			return err
		}
	}
	return s.write(ctx, func(tx querier) error {
		for id, recipe := range doses {
			if err := refuseUnknown(ctx, tx, []int64{id}); err != nil {
				return err
			}
			if _, err := tx.ExecContext(ctx, "DELETE FROM swatch_parts WHERE swatch_id = ?", id); err != nil {
				return err
			}
			const insert = "INSERT INTO swatch_parts (swatch_id, dye_id, dose_g_per_kg) VALUES (?, ?, ?)"
			if err := insertRecipe(ctx, tx, newFinder(s.Dyes), insert, id, "the swatch", recipe); err != nil {
				return err
			}
		}
		if revised == nil {
			return nil
		}
		return s.Dyes.update(ctx, tx, revised.Name, revised.Dye)
	})
}

// RemoveSwatches removes swatches. With the last swatch of a photograph go the photograph
// and those read together with it; their files stay until Undo can no longer bring them
// back. It fails with ErrNotFound, and removes none, unless all are there.
func (s *Store) RemoveSwatches(ctx context.Context, ids ...int64) error {
	return s.write(ctx, func(tx querier) error {
		if err := refuseUnknown(ctx, tx, ids); err != nil {
			return err
		}
		return removeRows(ctx, tx, idList(ids))
	})
}

// removeRows removes swatches and the photos left without any.
func removeRows(ctx context.Context, tx querier, ids idList) error {
	photoIDs, err := readColumn[int64](ctx, tx, "DELETE FROM swatches WHERE id IN (SELECT value FROM json_each(?)) RETURNING photo_id", ids)
	if err != nil {
		return err
	}
	// Those that were read together with another go first, since they refer to it.
	const unused = ` IN (SELECT value FROM json_each(?)) AND NOT EXISTS (SELECT 1 FROM swatches WHERE photo_id = coalesce(with_id, photos.id))`
	for _, statement := range []string{"DELETE FROM photos WHERE with_id" + unused, "DELETE FROM photos WHERE id" + unused} {
		if _, err := tx.ExecContext(ctx, statement, idList(photoIDs)); err != nil {
			return err
		}
	}
	_, err = tx.ExecContext(ctx, "DELETE FROM cards WHERE id NOT IN (SELECT card_id FROM photos)")
	return err
}

func refuseUnknown(ctx context.Context, tx querier, ids []int64) error {
	const ask = "SELECT DISTINCT value FROM json_each(?) WHERE value NOT IN (SELECT id FROM swatches) ORDER BY value"
	unknown, err := readColumn[int64](ctx, tx, ask, idList(ids))
	if err != nil || len(unknown) == 0 {
		return err
	}
	return refuse(ErrNotFound, "not in the store: %s; nothing was changed", numbered(unknown))
}
