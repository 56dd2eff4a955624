package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"strings"
	"time"

	"setshade/internal/wax"
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
	Correction wax.Correction
	Quality    wax.Quality
	// Print is the printed card as the reader decodes it, "" for a plain one, and
	// Patches its strip as measured, before any correction.
	Print   string
	Patches wax.Strip
	// Chart are the published colours of a chart that lay beside the card; nil for
	// none.
	Chart wax.Strip
	// Anchor is the corrected strip, to be kept as the anchor of Print; nil for not.
	// The store gives it back by Strips.
	Anchor wax.Strip
	// Light is the kind of light that the drops mirror, "" where it was not told.
	Light string
	// Card is the number of the card that it shows; 0 for one that is new to the store.
	Card int64
	// With is the SHA-256 of the photograph of the same card and state together with
	// which it was read, whose swatches then have what both tell; "" for none.
	With string
	// Replaces says that swatches of these very bytes go, with all that was read together
	// with them, and that these come in their place.
	Replaces bool
}

// readingColumns and reading match one to one: what the reader tells of a
// photograph as a whole.
const (
	figureColumns = `reader, correction_kind, correction_model, correction_patches, correction_median_de00,
	correction_worst_de00, correction_held_out_de00, light_ratio, tint_shift, noise, edge_px`
	readingColumns  = figureColumns + ", print, patches, light"
	recordedColumns = "name, plan_text, recorded_at, chart, card_id, " + readingColumns
	keptColumns     = recordedColumns + ", coalesce((SELECT w.sha256 FROM photos w WHERE w.id = photos.with_id), '')"
)

// kept match keptColumns: all but the bytes.
func (p *Photo) kept() []any { return append(p.recorded(), &p.With) }

// recorded match recordedColumns.
func (p *Photo) recorded() []any {
	return append([]any{&p.Name, &p.PlanText, (*utcText)(&p.RecordedAt), (*strip)(&p.Chart), &p.Card}, p.reading()...)
}

func (p *Photo) reading() []any {
	return append(readerFigures(&p.Reader, &p.Correction, &p.Quality), &p.Print, (*strip)(&p.Patches), &p.Light)
}

// readerFigures match figureColumns.
func readerFigures(reader *int, c *wax.Correction, q *wax.Quality) []any {
	return []any{
		reader, &c.Kind, &c.Model, &c.Patches, &c.MedianDE00, &c.WorstDE00, &c.HeldOutDE00,
		&q.LightRatio, &q.TintShift, &q.Noise, &q.EdgePx,
	}
}

// Photo returns the photograph whose bytes have the given SHA-256 in hex. It
// fails with ErrNotFound when there is none, and with ErrLost when its file is gone,
// cannot be read or no longer has that hash.
func (s *Store) Photo(ctx context.Context, sha256Hex string) (Photo, error) {
	p, err := s.photo(ctx, s.db, sha256Hex)
	if errors.Is(err, ErrLost) {
		// One that is removed at this moment loses its row first, then its file.
		if _, again := s.photo(ctx, s.db, sha256Hex); errors.Is(again, ErrNotFound) {
			return Photo{}, again
		}
	}
	return p, err
}

func (s *Store) photo(ctx context.Context, q querier, sha256Hex string) (Photo, error) {
	var p Photo
	err := q.QueryRowContext(ctx, "SELECT "+keptColumns+" FROM photos WHERE sha256 = ?", sha256Hex).Scan(p.kept()...)
	if errors.Is(err, sql.ErrNoRows) {
		return Photo{}, refuse(ErrNotFound, "there is no photograph %s in the store", sha256Hex)
	}
	if err != nil {
		return Photo{}, explain(s.path, err)
	}
	p.Bytes, err = s.photos.read(sha256Hex)
	switch {
	case err != nil:
		return Photo{}, because(ErrLost, err, "the photograph %s cannot be read from the store", p.Name)
	case hashOf(p.Bytes) != sha256Hex:
		return Photo{}, refuse(ErrLost, "the photograph %s has changed since it was recorded; the changed file was left as it is: %s", p.Name, s.photos.file(sha256Hex))
	}
	return p, nil
}

// Photos returns all photographs, the first recorded first.
func (s *Store) Photos(ctx context.Context) ([]KeptPhoto, error) {
	photos, err := keptPhotos(ctx, s.db, "")
	return photos, explain(s.path, err)
}

// PhotosOf returns the photographs of a card, the first recorded first; none of a card
// that is not there.
func (s *Store) PhotosOf(ctx context.Context, card int64) ([]KeptPhoto, error) {
	photos, err := keptPhotos(ctx, s.db, "WHERE card_id = ?", card)
	return photos, explain(s.path, err)
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
	return p.validateKept()
}

// validateKept refuses what cannot be stored beside the bytes.
func (p Photo) validateKept() error {
	return errors.Join(validText(p.Name), validText(p.PlanText), p.validateReading())
}

// isHash reports a SHA-256 as hashOf writes it.
func isHash(text string) bool {
	sum, err := hex.DecodeString(text)
	return err == nil && len(sum) == sha256.Size && hex.EncodeToString(sum) == text
}

// validateReading refuses figures of the reader that cannot be stored.
func (p Photo) validateReading() error {
	c, q := p.Correction, p.Quality
	if !finite(c.MedianDE00, c.WorstDE00, c.HeldOutDE00, q.LightRatio, q.TintShift, q.Noise, q.EdgePx) {
		return refuse(ErrInvalid, "the reading of the photograph %s has a figure that is not a number; nothing was recorded", p.Name)
	}
	return errors.Join(validText(c.Kind), validText(c.Model), validText(p.Print), validText(p.Light))
}

// places writes n placeholders of a statement.
func places(n int) string { return strings.Repeat("?, ", n-1) + "?" }
