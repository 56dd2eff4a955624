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
	const save = `INSERT INTO learned (wax_id, model, learned_at) VALUES (?, ?, ?)
		ON CONFLICT (wax_id) DO UPDATE SET model = excluded.model, learned_at = excluded.learned_at`
	_, err = tx.ExecContext(ctx, save, id, string(model), utcText(at))
	return err
}

// Learned returns what was last learned of a wax. It fails with ErrNotFound
// when the wax is not on the shelf, or nothing was learned of it yet.
func (s *Store) Learned(ctx context.Context, waxName string) ([]byte, error) {
	id, err := s.Waxes.id(ctx, s.db, waxName)
	if err != nil {
		return nil, explain(s.path, err)
	}
	var model string
	err = s.db.QueryRowContext(ctx, "SELECT model FROM learned WHERE wax_id = ?", id).Scan(&model)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, refuse(ErrNotFound, "nothing has been learned of %s yet; record a card of set drops, then learn it", waxName)
	}
	return []byte(model), explain(s.path, err)
}
