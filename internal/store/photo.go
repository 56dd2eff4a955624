package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"time"
)

// Photo is a photograph of a card, and what is recorded with it.
type Photo struct {
	// Name is the name of the maker's file.
	Name string
	// Bytes of the file, as it came; not empty.
	Bytes []byte
	// PlanText is the plan that went with it, as the maker wrote it.
	PlanText string
	// Reader is the version of the photo reader that read the drops.
	Reader int
	// RecordedAt is when; it is kept in UTC.
	RecordedAt time.Time
}

// Photo returns the photograph whose bytes have the given SHA-256 in hex. It
// fails with ErrNotFound when there is none, and with ErrDamaged when its file
// is gone or no longer has that hash.
func (s *Store) Photo(ctx context.Context, sha256Hex string) (Photo, error) {
	var p Photo
	const ask = "SELECT name, plan_text, reader, recorded_at FROM photos WHERE sha256 = ?"
	err := s.db.QueryRowContext(ctx, ask, sha256Hex).Scan(&p.Name, &p.PlanText, &p.Reader, (*utcText)(&p.RecordedAt))
	if errors.Is(err, sql.ErrNoRows) {
		return Photo{}, refuse(ErrNotFound, "there is no photograph %s in the store", sha256Hex)
	}
	if err != nil {
		return Photo{}, explain(s.path, err)
	}
	p.Bytes, err = s.photos.read(sha256Hex)
	switch {
	case err != nil:
		return Photo{}, because(ErrDamaged, err, "the photograph %s cannot be read from the store", p.Name)
	case hashOf(p.Bytes) != sha256Hex:
		return Photo{}, refuse(ErrDamaged, "the photograph %s has changed since it was recorded: %s; put back a copy of it", p.Name, s.photos.file(sha256Hex))
	}
	return p, nil
}

func hashOf(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

func (p Photo) validate() error {
	if p.RecordedAt.IsZero() {
		panic("store: Photo.RecordedAt is not set")
	}
	if len(p.Bytes) == 0 {
		return refuse(ErrInvalid, "the photograph %s is empty; nothing was recorded", p.Name)
	}
	return errors.Join(validText(p.Name), validText(p.PlanText))
}
