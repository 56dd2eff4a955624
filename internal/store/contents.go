package store

import (
	"context"
	"time"

	"setshade/internal/wax"
)

// Contents is everything a store keeps, but for the bytes of the photographs.
type Contents struct {
	Waxes  []wax.Wax
	Dyes   []wax.Dye
	Moulds []wax.Mould
	// Photos are in the order in which they were recorded.
	Photos []KeptPhoto
	// Swatches, Batches, Stocks and Rescues are in order of number.
	Swatches []wax.Swatch
	Batches  []Poured
	Stocks   []wax.Stock
	Rescues  []Rescue
	Strips   []KeptStrip
	Learned  []Lesson
	// Earlier is what was there before the photographs were last read again; nil for
	// nothing.
	Earlier *Earlier
	// LastSwatch, LastBatch, LastStock and LastRescue are the highest numbers ever given,
	// which are not given again.
	LastSwatch, LastBatch, LastStock, LastRescue int64
}

// KeptPhoto is a photograph without its bytes.
type KeptPhoto struct {
	// SHA256 of the bytes, in hex.
	SHA256 string
	// Photo has no Bytes, and no Anchor: that is among the Strips.
	Photo
}

// Lesson is what was learned of a wax, as calibrate writes it.
type Lesson struct {
	Wax   string
	Model []byte
	At    time.Time
}

// Contents reads all that the store keeps, from one state of it.
func (s *Store) Contents(ctx context.Context) (Contents, error) {
	var c Contents
	err := s.read(ctx, func(q querier) (err error) {
		c, err = s.contents(ctx, q)
		return err
	})
	return c, err
}

func (s *Store) contents(ctx context.Context, q querier) (c Contents, err error) {
	for _, part := range []func() error{
		func() (err error) { c.Waxes, err = s.Waxes.list(ctx, q); return err },
		func() (err error) { c.Dyes, err = s.Dyes.list(ctx, q); return err },
		func() (err error) { c.Moulds, err = s.Moulds.list(ctx, q); return err },
		func() (err error) { c.Photos, err = keptPhotos(ctx, q, ""); return err },
		func() (err error) { c.Swatches, err = list(ctx, q, selection{}); return err },
		func() (err error) { c.Batches, err = listBatches(ctx, q, ""); return err },
		func() (err error) { c.Stocks, err = listStocks(ctx, q, ""); return err },
		func() (err error) { c.Rescues, err = listRescues(ctx, q, ""); return err },
		func() (err error) { c.Strips, err = listStrips(ctx, q); return err },
		func() (err error) { c.Learned, err = lessons(ctx, q); return err },
		func() (err error) { c.Earlier, err = earlier(ctx, q); return err },
		func() (err error) { c.LastSwatch, err = lastNumber(ctx, q, "swatches"); return err },
		func() (err error) { c.LastBatch, err = lastNumber(ctx, q, "batches"); return err },
		func() (err error) { c.LastStock, err = lastNumber(ctx, q, "stocks"); return err },
		func() (err error) { c.LastRescue, err = lastNumber(ctx, q, "rescues"); return err },
	} {
		if err := part(); err != nil {
			return c, err
		}
	}
	return c, nil
}

func keptPhotos(ctx context.Context, q querier, where string, args ...any) ([]KeptPhoto, error) {
	return readAll(ctx, q, "SELECT sha256, "+keptColumns+" FROM photos "+where+" ORDER BY id", args, func(p *KeptPhoto) []any {
		return append([]any{&p.SHA256}, p.kept()...)
	})
}

func lessons(ctx context.Context, q querier) ([]Lesson, error) {
	const query = "SELECT w.name, l.model, l.learned_at FROM learned l JOIN waxes w ON w.id = l.wax_id ORDER BY w.name_key"
	return readAll(ctx, q, query, nil, func(l *Lesson) []any { return []any{&l.Wax, &l.Model, (*utcText)(&l.At)} })
}

// lastNumber returns the highest number a table with AUTOINCREMENT has given
// (sqlite.org/autoinc.html).
func lastNumber(ctx context.Context, q querier, table string) (int64, error) {
	var last int64
	err := q.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0) FROM sqlite_sequence WHERE name = ?", table).Scan(&last)
	return last, err
}

// empty reports a store in which nothing has been kept.
func (c Contents) empty() bool {
	return len(c.Waxes)+len(c.Dyes)+len(c.Moulds)+len(c.Photos)+len(c.Batches)+len(c.Stocks)+len(c.Rescues)+len(c.Strips) == 0 &&
		c.LastSwatch == 0 && c.LastBatch == 0 && c.LastStock == 0 && c.LastRescue == 0
}
