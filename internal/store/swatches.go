package store

import (
	"context"
	"database/sql"
	"strings"

	"setshade/internal/wax"
)

// Filter says which swatches are asked for. The zero Filter asks for all.
type Filter struct {
	// Wax and Dye are names, without case. A swatch has a dye when its recipe
	// does, alone or with others.
	Wax, Dye string
	State    wax.State
	// IDs, when not empty, asks for these only; ids that are not there, or not
	// within the rest of the filter, are passed over.
	IDs []int64
	// After and Limit page: at most Limit swatches with ids above After. Limit
	// 0 is no limit.
	After int64
	Limit int
}

// Swatches returns what the filter asks for in order of id; none is no error.
// It fails with ErrNotFound when the wax or dye is not on the shelf.
func (s *Store) Swatches(ctx context.Context, f Filter) ([]wax.Swatch, error) {
	chosen := selection{state: f.State, ids: f.IDs, after: f.After, limit: f.Limit}
	var err error
	if f.Wax != "" {
		if chosen.waxID, err = s.Waxes.id(ctx, s.db, f.Wax); err != nil {
			return nil, explain(s.path, err)
		}
	}
	if f.Dye != "" {
		if chosen.dyeID, err = s.Dyes.id(ctx, s.db, f.Dye); err != nil {
			return nil, explain(s.path, err)
		}
	}
	swatches, err := list(ctx, s.db, chosen)
	return swatches, explain(s.path, err)
}

// Swatch returns one swatch, or ErrNotFound.
func (s *Store) Swatch(ctx context.Context, id int64) (wax.Swatch, error) {
	found, err := list(ctx, s.db, selection{ids: []int64{id}})
	if err != nil {
		return wax.Swatch{}, explain(s.path, err)
	}
	if len(found) == 0 {
		return wax.Swatch{}, refuse(ErrNotFound, "there is no swatch %d in the store", id)
	}
	return found[0], nil
}

// measurementColumns and measurements match one to one; the same pointers are
// written from and read into.
const measurementColumns = `drop_number, state, kept_for_check, lab_l, lab_a, lab_b,
	cov_ll, cov_la, cov_lb, cov_aa, cov_ab, cov_bb, card_l, card_a, card_b, area_px, area_share, notes`

func measurements(sw *wax.Swatch) []any {
	lab, cov, card := &sw.Colour.Lab, &sw.Colour.Cov, &sw.Card
	return []any{
		&sw.Drop, &sw.State, &sw.Check, &lab.L, &lab.A, &lab.B,
		&cov[0][0], &cov[0][1], &cov[0][2], &cov[1][1], &cov[1][2], &cov[2][2],
		&card.L, &card.A, &card.B, &sw.AreaPx, &sw.AreaShare, (*textList)(&sw.Notes),
	}
}

var insertSwatch = "INSERT INTO swatches (wax_id, photo_id, " + measurementColumns + ") VALUES (?, ?" +
	strings.Repeat(", ?", strings.Count(measurementColumns, ",")+1) + ")"

// selection is a Filter with names found.
type selection struct {
	waxID, dyeID int64
	state        wax.State
	ids          []int64
	after        int64
	limit        int
}

// where writes the selection as SQL on swatches, with its arguments.
func (c selection) where() (string, []any) {
	conditions, args := []string{"id > ?"}, []any{c.after}
	add := func(condition string, values ...any) {
		conditions, args = append(conditions, condition), append(args, values...)
	}
	if c.waxID != 0 {
		add("wax_id = ?", c.waxID)
	}
	if c.state != "" {
		add("state = ?", string(c.state))
	}
	if c.dyeID != 0 {
		add("id IN (SELECT swatch_id FROM swatch_parts WHERE dye_id = ? AND swatch_id > ?)", c.dyeID, c.after)
	}
	if len(c.ids) > 0 {
		add("id IN (SELECT value FROM json_each(?))", idList(c.ids))
	}
	limit := c.limit
	if limit == 0 {
		limit = -1
	}
	return strings.Join(conditions, " AND ") + " ORDER BY id LIMIT ?", append(args, limit)
}

// list reads the selected swatches with their parts in one query, and so from
// one state of the store: a row for each part, at least one for each swatch.
func list(ctx context.Context, q querier, chosen selection) ([]wax.Swatch, error) {
	where, args := chosen.where()
	query := `SELECT s.id, w.name, p.sha256, p.name, p.reader, p.recorded_at, ` + measurementColumns + `, d.name, part.dose_g_per_kg
		FROM (SELECT * FROM swatches WHERE ` + where + `) s
		JOIN waxes w ON w.id = s.wax_id
		JOIN photos p ON p.id = s.photo_id
		LEFT JOIN swatch_parts part ON part.swatch_id = s.id
		LEFT JOIN dyes d ON d.id = part.dye_id
		ORDER BY s.id, d.name`
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var swatches []wax.Swatch
	for rows.Next() {
		sw, part, err := scanRow(rows)
		if err != nil {
			return nil, err
		}
		if last := len(swatches) - 1; last < 0 || swatches[last].ID != sw.ID {
			swatches = append(swatches, sw)
		}
		if part != nil {
			last := &swatches[len(swatches)-1]
			last.Recipe = append(last.Recipe, *part)
		}
	}
	return swatches, rows.Err()
}

// scanRow reads a swatch without its recipe, and one part of the recipe; the
// part is nil for undyed wax.
func scanRow(rows *sql.Rows) (wax.Swatch, *wax.Part, error) {
	var sw wax.Swatch
	var dye sql.NullString
	var dose sql.NullFloat64
	into := []any{&sw.ID, &sw.Wax, &sw.Photo.SHA256, &sw.Photo.Name, &sw.Photo.Reader, (*utcText)(&sw.Photo.RecordedAt)}
	into = append(into, measurements(&sw)...)
	into = append(into, &dye, &dose)
	if err := rows.Scan(into...); err != nil {
		return wax.Swatch{}, nil, err
	}
	for i := range sw.Colour.Cov {
		for j := range i {
			sw.Colour.Cov[i][j] = sw.Colour.Cov[j][i]
		}
	}
	if !dye.Valid {
		return sw, nil, nil
	}
	return sw, &wax.Part{Dye: dye.String, DoseGPerKg: dose.Float64}, nil
}
