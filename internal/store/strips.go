package store

import (
	"context"
	"errors"
	"time"

	"setshade/internal/wax"
)

// StripKind says where the colours of a strip come from.
type StripKind string

// The kinds of strip. A reference goes before an anchor.
const (
	// Anchor is the strip as the first photograph of a print shows it.
	Anchor StripKind = "anchor"
	// Reference was measured with an instrument.
	Reference StripKind = "reference"
)

// KeptStrip is what the strip of a print is taken to be.
type KeptStrip struct {
	// Print is the printed card as the reader decodes it, such as "A5 print 2": each
	// size and number has strips of its own.
	Print   string
	Kind    StripKind
	Patches wax.Strip
	// Name is that of the photograph, or of the maker's file; SHA256 is that of the
	// photograph, "" for a reference.
	Name, SHA256 string
	KeptAt       time.Time
}

// Strips returns all kept strips in order of print, the anchor before the
// reference.
func (s *Store) Strips(ctx context.Context) ([]KeptStrip, error) {
	strips, err := listStrips(ctx, s.db)
	return strips, explain(s.path, err)
}

func listStrips(ctx context.Context, q querier) ([]KeptStrip, error) {
	const query = "SELECT print, kind, patches, name, sha256, kept_at FROM strips ORDER BY print, kind"
	return readAll(ctx, q, query, nil, func(k *KeptStrip) []any {
		return []any{&k.Print, &k.Kind, (*strip)(&k.Patches), &k.Name, &k.SHA256, (*utcText)(&k.KeptAt)}
	})
}

// SaveStrip keeps a strip, in place of an earlier one of its print and kind. It
// panics when KeptAt is not set.
func (s *Store) SaveStrip(ctx context.Context, k KeptStrip) error {
	if k.KeptAt.IsZero() {
		panic("store: KeptStrip.KeptAt is not set")
	}
	if err := k.validateTexts(); err != nil {
		return err
	}
	return s.write(ctx, func(tx querier) error { return keepStrip(ctx, tx, k, replaceStrip) })
}

func (k KeptStrip) validateTexts() error { return errors.Join(validText(k.Print), validText(k.Name)) }

// ForgetStrip forgets the strip of a print and kind; it fails with ErrNotFound when
// there is none.
func (s *Store) ForgetStrip(ctx context.Context, print string, kind StripKind) error {
	return s.write(ctx, func(tx querier) error {
		result, err := tx.ExecContext(ctx, "DELETE FROM strips WHERE print = ? AND kind = ?", print, kind)
		if err != nil {
			return err
		}
		gone, err := result.RowsAffected()
		if err == nil && gone == 0 {
			return refuse(ErrNotFound, "there is no %s of the printed card %s in the store; nothing was changed", kind, print)
		}
		return err
	})
}

// What happens to a strip of the same print and kind.
const (
	leaveStrip   = "OR IGNORE"
	replaceStrip = "OR REPLACE"
)

func keepStrip(ctx context.Context, tx querier, k KeptStrip, conflict string) error {
	insert := "INSERT " + conflict + " INTO strips (print, kind, patches, name, sha256, kept_at) VALUES (?, ?, ?, ?, ?, ?)"
	_, err := tx.ExecContext(ctx, insert, k.Print, k.Kind, strip(k.Patches), k.Name, k.SHA256, utcText(k.KeptAt))
	return err
}

// keepAnchor keeps the anchor that comes with a photograph, if any.
func keepAnchor(ctx context.Context, tx querier, p Photo, hash, conflict string) error {
	if p.Anchor == nil {
		return nil
	}
	return keepStrip(ctx, tx, KeptStrip{
		Print: p.Print, Kind: Anchor, Patches: p.Anchor, Name: p.Name, SHA256: hash, KeptAt: p.RecordedAt,
	}, conflict)
}
