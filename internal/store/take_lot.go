package store

import (
	"context"

	"setshade/internal/plaintext"
	"setshade/internal/wax"
)

// TakeLot makes a new lot of a dye the one that bears its name, in one
// transaction: the dye as it is, with all its swatches and batches, becomes old,
// which names it and its mark; the new lot, taken from it but for the mark, has
// the name from then on; and the swatch that told of the new lot becomes one of
// it, to be learned from. The swatch is of the dye alone. It fails with
// ErrNotFound, with ErrExists when the old lot's name is taken, and with
// ErrInvalid.
func (s *Store) TakeLot(ctx context.Context, name string, old, lot wax.Dye, swatchID int64) error {
	for _, d := range []wax.Dye{old, lot} {
		if err := s.Dyes.validate(d); err != nil {
			return err
		}
	}
	return s.write(ctx, func(tx querier) error {
		if err := refuseUnknown(ctx, tx, []int64{swatchID}); err != nil {
			return err
		}
		if err := s.Dyes.update(ctx, tx, name, old); err != nil {
			return err
		}
		if err := s.Dyes.add(ctx, tx, lot); err != nil {
			return err
		}
		const move = "UPDATE swatch_parts SET dye_id = (SELECT id FROM dyes WHERE name_key = ?) WHERE swatch_id = ?"
		if _, err := tx.ExecContext(ctx, move, plaintext.Fold(lot.Name), swatchID); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "UPDATE swatches SET kept_for_check = 0 WHERE id = ?", swatchID)
		return err
	})
}
