package store

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// SaveLearned keeps what was learned of a wax, JSON that only calibrate reads,
// in the place of what was kept before. It fails with ErrNotFound when the wax
// is not on the shelf.
func (s *Store) SaveLearned(ctx context.Context, waxName string, model []byte, at time.Time) error {
	return s.write(ctx, func(tx querier) error { return s.saveLearned(ctx, tx, waxName, model, at) })
}

func (s *Store) saveLearned(ctx context.Context, tx querier, waxName string, model []byte, at time.Time) error {
	id, err := s.Waxes.id(ctx, tx, waxName)
	if err != nil {
		return err
	}
	// REPLACE, unlike an update, puts what was damaged right.
	const save = "INSERT OR REPLACE INTO learned (wax_id, model, learned_at) VALUES (?, ?, ?)"
	_, err = tx.ExecContext(ctx, save, id, string(model), utcText(at))
	return err
}

// Learned returns what was last learned of a wax. It fails with ErrNotFound
// when the wax is not on the shelf, or nothing was learned of it yet, and with
// ErrDamaged when it is not what was saved.
func (s *Store) Learned(ctx context.Context, waxName string) ([]byte, error) {
	id, err := s.Waxes.id(ctx, s.db, waxName)
	if err != nil {
		return nil, explain(s.path, err)
	}
	var model string
	var whole bool
	const ask = `SELECT model, row_digest(wax_id, model, learned_at) IS (SELECT digest FROM digests WHERE of = 'learned' AND "key" = wax_id)
		FROM learned WHERE wax_id = ?`
	err = s.db.QueryRowContext(ctx, ask, id).Scan(&model, &whole)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, refuse(ErrNotFound, "nothing has been learned of %s yet; record a card of set drops, then learn it", waxName)
	}
	if err == nil && !whole {
		return nil, refuse(ErrDamaged, "what was learned of %s has changed since it was saved; learn it again, and check the rest: setshade store check", waxName)
	}
	return []byte(model), explain(s.path, err)
}
