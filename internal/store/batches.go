package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"setshade/internal/plaintext"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// LogBatch keeps what was poured, all or nothing, and returns it as stored:
// numbered, with the names of wax and dyes as the shelf writes them. It fails
// with ErrNotFound when wax, dye or swatch is not in the store, and with
// ErrInvalid when the batch cannot be. It panics when PouredAt is not set.
func (s *Store) LogBatch(ctx context.Context, p Poured) (Poured, error) {
	if err := p.validate(); err != nil {
		return Poured{}, err
	}
	var logged Poured
	err := s.write(ctx, func(tx querier) error {
		id, err := s.insertBatch(ctx, tx, p)
		if err != nil {
			return err
		}
		logged, err = oneBatch(ctx, tx, id)
		return err
	})
	return logged, err
}

// Batches returns every batch in order of number; none is no error.
func (s *Store) Batches(ctx context.Context) ([]Poured, error) {
	batches, err := listBatches(ctx, s.db, "")
	return batches, explain(s.path, err)
}

// Batch returns one batch, or ErrNotFound.
func (s *Store) Batch(ctx context.Context, id int64) (Poured, error) {
	p, err := oneBatch(ctx, s.db, id)
	return p, explain(s.path, err)
}

// ChangeBatch changes notes, lots and the swatches of the colours of a batch, and
// returns it as stored; other changes are not kept. It fails with ErrNotFound
// when batch or swatch is not there, and with ErrInvalid.
func (s *Store) ChangeBatch(ctx context.Context, id int64, change func(*Poured) error) (Poured, error) {
	var p Poured
	err := s.write(ctx, func(tx querier) (err error) {
		if p, err = oneBatch(ctx, tx, id); err != nil {
			return err
		}
		if err := change(&p); err != nil {
			return err
		}
		if err := p.validate(); err != nil {
			return err
		}
		if err := updateBatch(ctx, tx, id, p); err != nil {
			return err
		}
		p, err = oneBatch(ctx, tx, id)
		return err
	})
	return p, err
}

// RemoveBatch takes a batch out of the log for good; its swatches stay. It fails
// with ErrNotFound.
func (s *Store) RemoveBatch(ctx context.Context, id int64) error {
	return s.removeNumbered(ctx, "batches", id, func(tx querier) error { _, err := oneBatch(ctx, tx, id); return err })
}

// removeNumbered removes the row of a number from a table, if it is there.
func (s *Store) removeNumbered(ctx context.Context, table string, number int64, there func(tx querier) error) error {
	return s.write(ctx, func(tx querier) error {
		if err := there(tx); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "DELETE FROM "+table+" WHERE id = ?", number)
		return err
	})
}

func (s *Store) insertBatch(ctx context.Context, tx querier, p Poured) (int64, error) {
	waxID, err := s.Waxes.id(ctx, tx, p.Wax)
	if err != nil {
		return 0, err
	}
	id, err := inserted(ctx, tx, "INSERT INTO batches (wax_id, poured_at, portion, notes) VALUES (?, ?, ?, ?)",
		waxID, utcText(p.PouredAt), p.Portion, textList(p.Notes))
	if err != nil {
		return 0, err
	}
	dyes := newFinder(s.Dyes)
	for i := range p.Colours {
		if err := insertColour(ctx, tx, dyes, id, i+1, &p.Colours[i]); err != nil {
			return 0, err
		}
	}
	return id, updateBatch(ctx, tx, id, p)
}

// insertColour inserts a colour without its swatch.
func insertColour(ctx context.Context, tx querier, dyes finder[wax.Dye], batchID int64, position int, c *PouredColour) error {
	var promise promiseColumns
	if c.Promise != nil {
		promise = columnsOf(*c.Promise)
	}
	colourID, err := inserted(ctx, tx, insertBatchColour, append([]any{batchID, position}, colourFields(c, &promise)...)...)
	if err != nil {
		return err
	}
	const insert = "INSERT INTO batch_parts (colour_id, dye_id, dose_g_per_kg) VALUES (?, ?, ?)"
	if err := insertRecipe(ctx, tx, dyes, insert, colourID, "a colour of the batch", c.Recipe); err != nil {
		return err
	}
	return insertAdditives(ctx, tx, "INSERT INTO batch_additives (colour_id, position, name, percent) VALUES (?, ?, ?, ?)", colourID, c.Additives)
}

// updateBatch writes what of a batch may change.
func updateBatch(ctx context.Context, tx querier, id int64, p Poured) error {
	if _, err := tx.ExecContext(ctx, "UPDATE batches SET notes = ? WHERE id = ?", textList(p.Notes), id); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "DELETE FROM batch_lots WHERE batch_id = ?", id); err != nil {
		return err
	}
	for _, l := range p.Lots {
		if _, err := tx.ExecContext(ctx, "INSERT INTO batch_lots (batch_id, made_of, lot) VALUES (?, ?, ?)", id, l.Of, l.Lot); err != nil {
			return err
		}
	}
	for i, c := range p.Colours {
		if c.SwatchID != 0 {
			if err := refuseUnknown(ctx, tx, []int64{c.SwatchID}); err != nil {
				return err
			}
		}
		swatch := sql.NullInt64{Int64: c.SwatchID, Valid: c.SwatchID != 0}
		if _, err := tx.ExecContext(ctx, "UPDATE batch_colours SET swatch_id = ? WHERE batch_id = ? AND position = ?", swatch, id, i+1); err != nil {
			return err
		}
	}
	return nil
}

// colourColumns and colourFields match one to one; the same pointers are written
// from and read into.
const colourColumns = `name, portions, undyed_g, load_percent, load_per,
	piece_l, piece_a, piece_b, piece_within_95, drop_l, drop_a, drop_b, drop_within_95`

func colourFields(c *PouredColour, promise *promiseColumns) []any {
	fields := []any{&c.Name, &c.Portions, &c.UndyedG, &c.Load.Percent, &c.Load.Per}
	for i := range promise {
		fields = append(fields, &promise[i])
	}
	return fields
}

var insertBatchColour = "INSERT INTO batch_colours (batch_id, position, " + colourColumns + ") VALUES (?, ?" +
	strings.Repeat(", ?", strings.Count(colourColumns, ",")+1) + ")"

// promiseColumns are the numbers of a promise, null together where there is none.
type promiseColumns [8]sql.NullFloat64

func columnsOf(p Promise) (out promiseColumns) {
	for i, v := range []float64{
		p.Piece.Lab.L, p.Piece.Lab.A, p.Piece.Lab.B, p.Piece.Within95,
		p.Drop.Lab.L, p.Drop.Lab.A, p.Drop.Lab.B, p.Drop.Within95,
	} {
		out[i] = sql.NullFloat64{Float64: v, Valid: true}
	}
	return out
}

// promise is the inverse of columnsOf; nil for nulls.
func (c promiseColumns) promise() *Promise {
	if !c[0].Valid {
		return nil
	}
	foretold := func(from int) Foretold {
		return Foretold{spectrum.Lab{L: c[from].Float64, A: c[from+1].Float64, B: c[from+2].Float64}, c[from+3].Float64}
	}
	return &Promise{foretold(0), foretold(4)}
}

func oneBatch(ctx context.Context, q querier, id int64) (Poured, error) {
	found, err := listBatches(ctx, q, "WHERE id = ?", id)
	if err != nil {
		return Poured{}, err
	}
	if len(found) == 0 {
		return Poured{}, refuse(ErrNotFound, "there is no batch %d in the log", id)
	}
	return found[0], nil
}

// LastBatches returns the batches poured last, the newest first, at most so many.
func (s *Store) LastBatches(ctx context.Context, most int) ([]Poured, error) {
	batches, err := listBatches(ctx, s.db, "WHERE id IN (SELECT id FROM batches ORDER BY id DESC LIMIT ?)", most)
	slices.Reverse(batches)
	return batches, explain(s.path, err)
}

// listBatches reads batches in one query, and so from one state of the store: a
// row for each part, at least one for each colour.
func listBatches(ctx context.Context, q querier, where string, args ...any) ([]Poured, error) {
	query := `SELECT b.id, w.name, b.poured_at, b.portion, b.notes,
		(SELECT json_group_array(json_object('Of', made_of, 'Lot', lot)) FROM batch_lots WHERE batch_id = b.id),
		c.position, c.swatch_id,
		(SELECT ` + additiveArray + ` FROM (SELECT * FROM batch_additives WHERE colour_id = c.id ORDER BY position)), ` + prefixed("c.", colourColumns) + `, d.name, part.dose_g_per_kg
		FROM (SELECT * FROM batches ` + where + `) b
		JOIN waxes w ON w.id = b.wax_id
		JOIN batch_colours c ON c.batch_id = b.id
		LEFT JOIN batch_parts part ON part.colour_id = c.id
		LEFT JOIN dyes d ON d.id = part.dye_id
		ORDER BY b.id, c.position, d.name`
	var batches []Poured
	err := eachRow(ctx, q, query, args, func(rows *sql.Rows) (err error) {
		batches, err = scanBatchRow(rows, batches)
		return err
	})
	return batches, err
}

// scanBatchRow adds one row to the batches read so far: a part, and the batch and
// the colour it belongs to where they are not there yet.
func scanBatchRow(rows *sql.Rows, batches []Poured) ([]Poured, error) {
	var p Poured
	var c PouredColour
	var lots string
	var position int
	var swatch sql.NullInt64
	var additives additiveList
	var promise promiseColumns
	var dye sql.NullString
	var dose sql.NullFloat64
	into := []any{&p.ID, &p.Wax, (*utcText)(&p.PouredAt), &p.Portion, (*textList)(&p.Notes), &lots, &position, &swatch, &additives}
	into = append(into, colourFields(&c, &promise)...)
	if err := rows.Scan(append(into, &dye, &dose)...); err != nil {
		return nil, err
	}
	if last := len(batches) - 1; last < 0 || batches[last].ID != p.ID {
		if err := json.Unmarshal([]byte(lots), &p.Lots); err != nil {
			return nil, fmt.Errorf("the lots of batch %d: %w", p.ID, err)
		}
		if len(p.Lots) == 0 {
			p.Lots = nil
		}
		slices.SortFunc(p.Lots, func(a, b Lot) int { return strings.Compare(plaintext.Fold(a.Of), plaintext.Fold(b.Of)) })
		batches = append(batches, p)
	}
	batch := &batches[len(batches)-1]
	if len(batch.Colours) < position {
		c.Promise, c.SwatchID, c.Additives = promise.promise(), swatch.Int64, additives
		batch.Colours = append(batch.Colours, c)
	}
	if dye.Valid {
		colour := &batch.Colours[len(batch.Colours)-1]
		colour.Recipe = append(colour.Recipe, wax.Part{Dye: dye.String, DoseGPerKg: dose.Float64})
	}
	return batches, nil
}

// prefixed puts a table's name before each column of a list.
func prefixed(table, columns string) string {
	names := strings.Split(columns, ",")
	for i, n := range names {
		names[i] = table + strings.TrimSpace(n)
	}
	return strings.Join(names, ", ")
}
