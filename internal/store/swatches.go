package store

import (
	"context"
	"database/sql"
	"math"
	"strings"

	"setshade/internal/spectrum"
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
	// Photo is the SHA-256 of the photograph they are of; "" for any.
	Photo string
	// After and Limit page: at most Limit swatches with ids above After. Limit
	// 0 is no limit.
	After int64
	Limit int
	// Before, when not 0, asks for the newest instead: at most Limit swatches with ids
	// below it, still in order of id. Newest is above every id.
	Before int64
}

// Newest is a Filter.Before that is above every number of a swatch.
const Newest = math.MaxInt64

// Swatches returns what the filter asks for in order of id; none is no error.
// It fails with ErrNotFound when the wax or dye is not on the shelf.
func (s *Store) Swatches(ctx context.Context, f Filter) ([]wax.Swatch, error) {
	chosen := selection{state: f.State, ids: f.IDs, after: f.After, limit: f.Limit, photo: f.Photo, before: f.Before}
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

// plannedColumns come from the plan and the maker, measuredColumns from the
// photograph.
const (
	plannedColumns  = `drop_number, state, kept_for_check, thick, mass_g`
	measuredColumns = `lab_l, lab_a, lab_b, cov_ll, cov_la, cov_lb, cov_aa, cov_ab, cov_bb,
	card_l, card_a, card_b, area_px, area_share, notes, diameter_mm,
	over_black_l, over_black_a, over_black_b, over_black_cov_ll, over_black_cov_la, over_black_cov_lb,
	over_black_cov_aa, over_black_cov_ab, over_black_cov_bb, bar_l, bar_a, bar_b`
	swatchColumns = plannedColumns + ", " + measuredColumns
)

// swatchRow is a swatch with the columns of it that may be null.
type swatchRow struct {
	*wax.Swatch
	overBlack [9]sql.Null[float64]
	bar       [3]sql.Null[float64]
}

func rowOf(sw *wax.Swatch) *swatchRow {
	r := &swatchRow{Swatch: sw}
	if m := sw.OverBlack; m != nil {
		for i, v := range measuredNumbers(m) {
			r.overBlack[i] = sql.Null[float64]{V: *v, Valid: true}
		}
	}
	if sw.Bar != nil {
		for i, v := range sw.Bar.Vector() {
			r.bar[i] = sql.Null[float64]{V: v, Valid: true}
		}
	}
	return r
}

// columns match swatchColumns one to one; the same pointers are written from and
// read into.
func (r *swatchRow) columns() []any {
	return append([]any{&r.Drop, &r.State, &r.Check, &r.Thick, &r.MassG}, r.measured()...)
}

// measured match measuredColumns.
func (r *swatchRow) measured() []any {
	var into []any
	for _, v := range measuredNumbers(&r.Colour) {
		into = append(into, v)
	}
	card := &r.Card
	into = append(into, &card.L, &card.A, &card.B, &r.AreaPx, &r.AreaShare, (*textList)(&r.Notes), &r.DiameterMM)
	for i := range r.overBlack {
		into = append(into, &r.overBlack[i])
	}
	for i := range r.bar {
		into = append(into, &r.bar[i])
	}
	return into
}

// measuredNumbers are the numbers of a colour that are stored: of the covariance
// the upper half.
func measuredNumbers(m *spectrum.Measured) [9]*float64 {
	lab, cov := &m.Lab, &m.Cov
	return [9]*float64{&lab.L, &lab.A, &lab.B, &cov[0][0], &cov[0][1], &cov[0][2], &cov[1][1], &cov[1][2], &cov[2][2]}
}

// complete fills in, after reading, what follows from the columns.
func (r *swatchRow) complete() {
	mirror(&r.Colour.Cov)
	if r.overBlack[0].Valid {
		r.OverBlack = &spectrum.Measured{}
		for i, v := range measuredNumbers(r.OverBlack) {
			*v = r.overBlack[i].V
		}
		mirror(&r.OverBlack.Cov)
	}
	if b := r.bar; b[0].Valid {
		r.Bar = &spectrum.Lab{L: b[0].V, A: b[1].V, B: b[2].V}
	}
}

// mirror fills the lower half of a covariance.
func mirror(cov *[3][3]float64) {
	for i := range cov {
		for j := range i {
			cov[i][j] = cov[j][i]
		}
	}
}

var insertSwatch = "INSERT INTO swatches (wax_id, photo_id, " + swatchColumns + ") VALUES (" +
	places(strings.Count(swatchColumns, ",")+3) + ")"

// selection is a Filter with names found.
type selection struct {
	waxID, dyeID int64
	state        wax.State
	photo        string
	ids          []int64
	after        int64
	before       int64
	limit        int
}

// query writes the selection as SQL for rows of swatches, with its arguments. Those
// of a dye are found by the index of parts, in which a dye's swatches stand in order
// of number: a page ends the search. CROSS JOIN keeps SQLite to that order of loops
// (sqlite.org/optoverview.html, section 8.2).
func (c selection) query() (string, []any) {
	from, number := "swatches", "id"
	if c.dyeID != 0 {
		from, number = "swatch_parts CROSS JOIN swatches ON id = swatch_id", "swatch_id"
	}
	conditions, args := []string{number + " > ?"}, []any{c.after}
	add := func(condition string, values ...any) {
		conditions, args = append(conditions, condition), append(args, values...)
	}
	if c.waxID != 0 {
		add("wax_id = ?", c.waxID)
	}
	if c.state != "" {
		add("state = ?", string(c.state))
	}
	if c.photo != "" {
		add("photo_id = (SELECT id FROM photos WHERE sha256 = ?)", c.photo)
	}
	if c.dyeID != 0 {
		add("dye_id = ?", c.dyeID)
	}
	if len(c.ids) > 0 {
		add("id IN (SELECT value FROM json_each(?))", idList(c.ids))
	}
	order := ""
	if c.before != 0 {
		add(number+" < ?", c.before)
		order = " DESC"
	}
	limit := c.limit
	if limit == 0 {
		limit = -1
	}
	return "SELECT swatches.* FROM " + from + " WHERE " + strings.Join(conditions, " AND ") + " ORDER BY " + number + order + " LIMIT ?", append(args, limit)
}

// SampleIDs returns the numbers of the swatches of a wax that it is learned from, in
// order: twice for one that was read over black, too.
func (s *Store) SampleIDs(ctx context.Context, waxName string) ([]int64, error) {
	const ask = `SELECT s.id FROM swatches s JOIN waxes w ON w.id = s.wax_id, (SELECT 0 AS over UNION ALL SELECT 1)
		WHERE w.name = ? AND NOT kept_for_check AND (NOT over OR over_black_l IS NOT NULL AND bar_l IS NOT NULL AND NOT thick AND state = 'set') ORDER BY s.id`
	ids, err := readColumn[int64](ctx, s.db, ask, waxName)
	return ids, explain(s.path, err)
}

// list reads the selected swatches with their parts in one query, and so from
// one state of the store: a row for each part, at least one for each swatch.
func list(ctx context.Context, q querier, chosen selection) ([]wax.Swatch, error) {
	selected, args := chosen.query()
	query := `SELECT s.id, w.name, p.sha256, p.name, p.recorded_at, p.card_id, ` + figureColumns + `, ` + swatchColumns + `, d.name, part.dose_g_per_kg
		FROM (` + selected + `) s
		JOIN waxes w ON w.id = s.wax_id
		JOIN photos p ON p.id = s.photo_id
		LEFT JOIN swatch_parts part ON part.swatch_id = s.id
		LEFT JOIN dyes d ON d.id = part.dye_id
		ORDER BY s.id, d.name`
	var swatches []wax.Swatch
	err := eachRow(ctx, q, query, args, func(rows *sql.Rows) error {
		sw, part, err := scanRow(rows)
		if err != nil {
			return err
		}
		if last := len(swatches) - 1; last < 0 || swatches[last].ID != sw.ID {
			swatches = append(swatches, sw)
		}
		if part != nil {
			last := &swatches[len(swatches)-1]
			last.Recipe = append(last.Recipe, *part)
		}
		return nil
	})
	return swatches, err
}

// scanRow reads a swatch without its recipe, and one part of the recipe; the
// part is nil for undyed wax.
func scanRow(rows *sql.Rows) (wax.Swatch, *wax.Part, error) {
	var sw wax.Swatch
	var dye sql.NullString
	var dose sql.NullFloat64
	ref, row := &sw.Photo, rowOf(&sw)
	into := []any{&sw.ID, &sw.Wax, &ref.SHA256, &ref.Name, (*utcText)(&ref.RecordedAt), &ref.Card}
	into = append(into, readerFigures(&ref.Reader, &ref.Correction, &ref.Quality)...)
	into = append(into, row.columns()...)
	into = append(into, &dye, &dose)
	if err := rows.Scan(into...); err != nil {
		return wax.Swatch{}, nil, err
	}
	row.complete()
	if !dye.Valid {
		return sw, nil, nil
	}
	return sw, &wax.Part{Dye: dye.String, DoseGPerKg: dose.Float64}, nil
}
