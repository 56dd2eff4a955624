package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"slices"
	"time"

	"setshade/internal/wax"
)

// Rescue is a rescue on its way.
type Rescue struct {
	// Number is the store's, 0 before it is stored.
	Number  int64
	Wax     string
	BegunAt time.Time
	// SwatchID is the drop that was read of the mended batch, 0 when none was.
	SwatchID int64
	// Steps are the states it went through, the last as it stands.
	Steps []RescueStep
}

// RescueStep is a rescue as it stood at one time.
type RescueStep struct {
	At time.Time
	// Course is JSON that only workshop reads.
	Course string
	// Stock is the number of what was set aside with it, 0 for none or one that is
	// used up.
	Stock int64
}

// KeepRescue keeps the next step of a rescue, or begins one without a Number, with the
// stock that is set aside with it, nil for none, in one transaction. It returns the rescue
// as stored. It fails with ErrNotFound, with ErrInvalid, and with ErrExists where the
// rescue went on since r was read. It panics when a time is not set.
func (s *Store) KeepRescue(ctx context.Context, r Rescue, next RescueStep, aside *wax.Stock) (Rescue, error) {
	if next.At.IsZero() {
		panic("store: a step of a rescue needs its time")
	}
	err := s.write(ctx, func(tx querier) error {
		if r.Number == 0 {
			r.BegunAt, r.Steps = next.At, nil
			var err error
			if r.Number, err = s.insertRescue(ctx, tx, r); err != nil {
				return err
			}
		}
		now, err := oneRescue(ctx, tx, r.Number)
		if err != nil {
			return err
		}
		if len(now.Steps) != len(r.Steps) {
			return refuse(ErrExists, "rescue %d went on meanwhile; look at it again", r.Number)
		}
		if aside != nil {
			if err := validateStock(*aside); err != nil {
				return err
			}
			if next.Stock, err = s.insertStock(ctx, tx, *aside); err != nil {
				return err
			}
		}
		if err := insertRescueStep(ctx, tx, r.Number, len(now.Steps)+1, next); err != nil {
			return err
		}
		r, err = oneRescue(ctx, tx, r.Number)
		return err
	})
	return r, err
}

// Rescues returns every rescue in order of number; none is no error.
func (s *Store) Rescues(ctx context.Context) ([]Rescue, error) {
	rescues, err := listRescues(ctx, s.db, "")
	return rescues, explain(s.path, err)
}

// Rescue returns one rescue, or ErrNotFound.
func (s *Store) Rescue(ctx context.Context, number int64) (Rescue, error) {
	r, err := oneRescue(ctx, s.db, number)
	return r, explain(s.path, err)
}

// TakeRescueBack takes the last step of a rescue back, with the stock that was set aside
// with it, and returns the rescue as it stands then; gone is the number of that stock, or
// 0. It fails with ErrNotFound, and with ErrInUse where no step was followed yet.
func (s *Store) TakeRescueBack(ctx context.Context, number int64) (r Rescue, gone int64, err error) {
	err = s.write(ctx, func(tx querier) error {
		if r, err = oneRescue(ctx, tx, number); err != nil {
			return err
		}
		last := len(r.Steps)
		if last < 2 {
			return refuse(ErrInUse, "no step of rescue %d was followed yet, so there is none to take back; remove it, if it is not wanted", number)
		}
		gone = r.Steps[last-1].Stock
		if _, err := tx.ExecContext(ctx, "DELETE FROM rescue_steps WHERE rescue_id = ? AND position = ?", number, last); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM stocks WHERE id = ?", gone); err != nil {
			return err
		}
		r, err = oneRescue(ctx, tx, number)
		return err
	})
	return r, gone, err
}

// LinkRescue says which drop was read of a mended batch; 0 for none. It fails with
// ErrNotFound.
func (s *Store) LinkRescue(ctx context.Context, number, swatchID int64) (r Rescue, err error) {
	err = s.write(ctx, func(tx querier) error {
		if r, err = oneRescue(ctx, tx, number); err != nil {
			return err
		}
		if swatchID != 0 {
			if err := refuseUnknown(ctx, tx, []int64{swatchID}); err != nil {
				return err
			}
		}
		if _, err := tx.ExecContext(ctx, "UPDATE rescues SET swatch_id = nullif(?, 0) WHERE id = ?", swatchID, number); err != nil {
			return err
		}
		r, err = oneRescue(ctx, tx, number)
		return err
	})
	return r, err
}

// RemoveRescue forgets a rescue; what it set aside stays as stock. It fails with
// ErrNotFound.
func (s *Store) RemoveRescue(ctx context.Context, number int64) error {
	return s.removeNumbered(ctx, "rescues", number, func(tx querier) error { _, err := oneRescue(ctx, tx, number); return err })
}

// insertRescue inserts a rescue with its steps.
func (s *Store) insertRescue(ctx context.Context, tx querier, r Rescue) (int64, error) {
	waxID, err := s.Waxes.id(ctx, tx, r.Wax)
	if err != nil {
		return 0, err
	}
	id, err := inserted(ctx, tx, "INSERT INTO rescues (wax_id, begun_at, swatch_id) VALUES (?, ?, nullif(?, 0))", waxID, utcText(r.BegunAt), r.SwatchID)
	for i := 0; err == nil && i < len(r.Steps); i++ {
		err = insertRescueStep(ctx, tx, id, i+1, r.Steps[i])
	}
	return id, err
}

func insertRescueStep(ctx context.Context, tx querier, number int64, position int, step RescueStep) error {
	if !json.Valid([]byte(step.Course)) {
		return refuse(ErrInvalid, "step %d of rescue %d cannot be read", position, number)
	}
	_, err := tx.ExecContext(ctx, "INSERT INTO rescue_steps (rescue_id, position, at, course, stock_id) VALUES (?, ?, ?, ?, nullif(?, 0))",
		number, position, utcText(step.At), step.Course, step.Stock)
	return err
}

func oneRescue(ctx context.Context, q querier, number int64) (Rescue, error) {
	found, err := listRescues(ctx, q, "WHERE r.id = ?", number)
	if err == nil && len(found) == 0 {
		err = refuse(ErrNotFound, "there is no rescue %d", number)
	}
	if err != nil {
		return Rescue{}, err
	}
	return found[0], nil
}

func listRescues(ctx context.Context, q querier, where string, args ...any) ([]Rescue, error) {
	query := `SELECT r.id, w.name, r.begun_at, coalesce(r.swatch_id, 0), s.at, s.course, coalesce(s.stock_id, 0)
		FROM rescues r JOIN waxes w ON w.id = r.wax_id LEFT JOIN rescue_steps s ON s.rescue_id = r.id ` + where + " ORDER BY r.id, s.position"
	var rescues []Rescue
	err := eachRow(ctx, q, query, args, func(rows *sql.Rows) error {
		var r Rescue
		var at, course sql.NullString
		var step RescueStep
		if err := rows.Scan(&r.Number, &r.Wax, (*utcText)(&r.BegunAt), &r.SwatchID, &at, &course, &step.Stock); err != nil {
			return err
		}
		if last := len(rescues) - 1; last < 0 || rescues[last].Number != r.Number {
			rescues = append(rescues, r)
		}
		if !at.Valid {
			return nil
		}
		step.Course = course.String
		steps := &rescues[len(rescues)-1].Steps
		*steps = append(*steps, step)
		return (*utcText)(&(*steps)[len(*steps)-1].At).Scan(at.String)
	})
	return rescues, err
}

// validRescue refuses a rescue that could not have been kept.
func validRescue(r Rescue) error {
	switch {
	case r.BegunAt.IsZero() || slices.ContainsFunc(r.Steps, func(s RescueStep) bool { return s.At.IsZero() }):
		return refuse(ErrInvalid, "it has no time at which it was begun, or followed")
	case len(r.Steps) == 0:
		return refuse(ErrInvalid, "it has no step")
	}
	return nil
}
