package store

import (
	"cmp"
	"context"
	"fmt"

	"setshade/internal/wax"
)

// Restore fills an empty store with contents, all or nothing; bytes fetches each
// photograph by its hash. Everything comes back as it was, numbers of swatches,
// batches and stocks too. A photograph that bytes cannot fetch, or that has other
// bytes, is left out and returned: it is lost to the store, and a check of it says so.
// Restore fails with ErrExists when the store is not empty, and with ErrInvalid when
// the contents cannot be.
func (s *Store) Restore(ctx context.Context, c Contents, bytes func(sha256 string) ([]byte, error)) ([]Lost, error) {
	var filed []string
	why := map[string]error{}
	err := s.write(ctx, func(tx querier) error {
		now, err := s.contents(ctx, tx)
		if err != nil {
			return err
		}
		if !now.empty() {
			return refuse(ErrExists, "the store %s is not empty, and nothing was changed in it; import into a new store", s.path)
		}
		for _, part := range []func() error{
			func() error { return addAll(ctx, tx, s.Waxes, c.Waxes) },
			func() error { return addAll(ctx, tx, s.Dyes, c.Dyes) },
			func() error { return addAll(ctx, tx, s.Moulds, c.Moulds) },
			func() error { return s.restoreSwatches(ctx, tx, c) },
			func() error { return s.restoreBatches(ctx, tx, c) },
			func() error { return s.restoreStocks(ctx, tx, c) },
			func() error { return s.restoreRescues(ctx, tx, c) },
			func() error { return restoreStrips(ctx, tx, c) },
			func() error { return s.restoreLessons(ctx, tx, c) },
			func() error { return saveEarlier(ctx, tx, c.Earlier) },
			func() error { filed, err = s.restorePhotos(ctx, tx, c, bytes, why); return err },
		} {
			if err := part(); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		for _, hash := range filed {
			s.discardPhoto(context.WithoutCancel(ctx), hash)
		}
		return nil, err
	}
	return c.Lost(why), nil
}

func addAll[T entry](ctx context.Context, tx querier, shelf *Shelf[T], entries []T) error {
	for _, e := range entries {
		if err := shelf.validate(e); err != nil {
			return err
		}
		if err := shelf.add(ctx, tx, e); err != nil {
			return err
		}
	}
	return nil
}

func (s *Store) restoreSwatches(ctx context.Context, tx querier, c Contents) error {
	if err := c.validatePhotos(); err != nil {
		return err
	}
	ids := map[string]int64{}
	for _, p := range c.Photos {
		if p.Card != 0 {
			if _, err := tx.ExecContext(ctx, "INSERT OR IGNORE INTO cards (id) VALUES (?)", p.Card); err != nil {
				return err
			}
		}
		// The number of bytes follows with the bytes.
		id, err := insertPhoto(ctx, tx, p.Photo, p.SHA256, 0)
		if err != nil {
			return err
		}
		ids[p.SHA256] = id
	}
	waxes, dyes := newFinder(s.Waxes), newFinder(s.Dyes)
	err := restoreNumbered(ctx, tx, "swatch", "swatches", c.Swatches, c.LastSwatch, func(sw *wax.Swatch) int64 { return sw.ID }, func(sw *wax.Swatch) error {
		_, err := insertSwatchOf(ctx, tx, waxes, dyes, ids[sw.Photo.SHA256], sw)
		return err
	})
	return cmp.Or(err, refuseTwice(ctx, tx, ""))
}

// restoreNumbered fills a table whose numbers the maker knows, so that each row gets
// its own again and the next one is above all that were ever given.
func restoreNumbered[T any](ctx context.Context, tx querier, noun, table string, rows []T, highest int64, number func(*T) int64, insert func(*T) error) error {
	last := int64(0)
	for i := range rows {
		row := &rows[i]
		this := number(row)
		if this <= last {
			return refuse(ErrInvalid, "%s %d stands after %s %d; put the %s in order of number, each once", noun, this, noun, last, table)
		}
		last = this
		if err := setLastNumber(ctx, tx, table, this-1); err != nil {
			return err
		}
		if err := insert(row); err != nil {
			return fmt.Errorf("%s %d: %w", noun, this, err)
		}
	}
	return setLastNumber(ctx, tx, table, max(last, highest))
}

// validatePhotos refuses photographs and their swatches that could not have been
// recorded.
func (c Contents) validatePhotos() error {
	swatches := map[string][]wax.Swatch{}
	for _, sw := range c.Swatches {
		swatches[sw.Photo.SHA256] = append(swatches[sw.Photo.SHA256], sw)
	}
	seen := map[string]bool{}
	for _, p := range c.Photos {
		switch {
		case !isHash(p.SHA256):
			return refuse(ErrInvalid, "%.20q is not the SHA-256 of a photograph: 64 digits from 0 to f", p.SHA256)
		case seen[p.SHA256]:
			return refuse(ErrInvalid, "the photograph %s is there twice", p.SHA256)
		case p.RecordedAt.IsZero():
			return refuse(ErrInvalid, "the photograph %s has no time at which it was recorded", p.Name)
		}
		seen[p.SHA256] = true
		if err := p.validateKept(); err != nil {
			return err
		}
		if p.With != "" {
			continue
		}
		if err := validateSwatches(p.Name, swatches[p.SHA256]); err != nil {
			return err
		}
		delete(swatches, p.SHA256)
	}
	for hash, orphans := range swatches {
		return refuse(ErrInvalid, "swatch %d was read from the photograph %.64q, which is not there", orphans[0].ID, hash)
	}
	return nil
}

func (s *Store) restoreBatches(ctx context.Context, tx querier, c Contents) error {
	return restoreNumbered(ctx, tx, "batch", "batches", c.Batches, c.LastBatch, func(p *Poured) int64 { return p.ID }, func(p *Poured) error {
		switch {
		case p.PouredAt.IsZero():
			return refuse(ErrInvalid, "it has no time at which it was poured")
		case p.Portion != "piece" && p.Portion != "scoop":
			return refuse(ErrInvalid, "its portion is %.20q; it must be piece or scoop", p.Portion)
		}
		if err := p.validate(); err != nil {
			return err
		}
		_, err := s.insertBatch(ctx, tx, *p)
		return err
	})
}

func (s *Store) restoreStocks(ctx context.Context, tx querier, c Contents) error {
	return restoreNumbered(ctx, tx, "stock", "stocks", c.Stocks, c.LastStock, func(k *wax.Stock) int64 { return k.Number }, func(k *wax.Stock) error {
		if k.SetAsideAt.IsZero() {
			return refuse(ErrInvalid, "it has no time at which it was set aside")
		}
		if err := validateStock(*k); err != nil {
			return err
		}
		_, err := s.insertStock(ctx, tx, *k)
		return err
	})
}

func (s *Store) restoreRescues(ctx context.Context, tx querier, c Contents) error {
	return restoreNumbered(ctx, tx, "rescue", "rescues", c.Rescues, c.LastRescue, func(r *Rescue) int64 { return r.Number }, func(r *Rescue) error {
		if err := validRescue(*r); err != nil {
			return err
		}
		_, err := s.insertRescue(ctx, tx, *r)
		return err
	})
}

func restoreStrips(ctx context.Context, tx querier, c Contents) error {
	type of struct {
		print string
		kind  StripKind
	}
	seen := map[of]bool{}
	for _, k := range c.Strips {
		switch {
		case k.Kind != Anchor && k.Kind != Reference:
			return refuse(ErrInvalid, "a strip of the printed card %s is %.20q; it must be %s or %s", k.Print, k.Kind, Anchor, Reference)
		case seen[of{k.Print, k.Kind}]:
			return refuse(ErrInvalid, "the %s of the printed card %s is there twice", k.Kind, k.Print)
		case k.SHA256 != "" && !isHash(k.SHA256):
			return refuse(ErrInvalid, "%.20q is not the SHA-256 of a photograph: 64 digits from 0 to f", k.SHA256)
		case k.KeptAt.IsZero():
			return refuse(ErrInvalid, "the %s of the printed card %s has no time from which it was kept", k.Kind, k.Print)
		}
		seen[of{k.Print, k.Kind}] = true
		if err := k.validateTexts(); err != nil {
			return err
		}
		if err := keepStrip(ctx, tx, k, leaveStrip); err != nil {
			return err
		}
	}
	return nil
}

func (s *Store) restoreLessons(ctx context.Context, tx querier, c Contents) error {
	for _, l := range c.Learned {
		if err := s.saveLearned(ctx, tx, l.Wax, l.Model, l.At); err != nil {
			return err
		}
	}
	return nil
}

// restorePhotos files the photographs, and returns those it filed even when it
// fails. Why the others are lost is put into why.
func (s *Store) restorePhotos(ctx context.Context, tx querier, c Contents, bytes func(string) ([]byte, error), why map[string]error) ([]string, error) {
	var filed []string
	for _, p := range c.Photos {
		content, err := bytes(p.SHA256)
		if err == nil && hashOf(content) != p.SHA256 {
			err = fmt.Errorf("it is not the one that was recorded: its SHA-256 is not %s", p.SHA256)
		}
		if err != nil {
			why[p.SHA256] = because(ErrLost, err, "the photograph %s was left out", p.Name)
			continue
		}
		if _, err := tx.ExecContext(ctx, "UPDATE photos SET byte_count = ? WHERE sha256 = ?", len(content), p.SHA256); err != nil {
			return filed, err
		}
		filed = append(filed, p.SHA256)
		if err := s.photos.put(p.SHA256, content); err != nil {
			return filed, fmt.Errorf("the photograph %s could not be written to the store, and nothing was imported; see that its disk has room and can be written (%w)", p.Name, err)
		}
	}
	return filed, nil
}

// setLastNumber makes a table with AUTOINCREMENT go on after a number.
func setLastNumber(ctx context.Context, tx querier, table string, last int64) error {
	if _, err := tx.ExecContext(ctx, "DELETE FROM sqlite_sequence WHERE name = ?", table); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "INSERT INTO sqlite_sequence (name, seq) VALUES (?, ?)", table, last); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO digests VALUES ('sqlite_sequence', ?, ?)", table, last)
	return err
}
