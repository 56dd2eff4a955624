package workshop

import (
	"context"
	"time"

	"setshade/internal/photo"
	"setshade/internal/wax"
)

// Photograph is one in the store, with the swatches that are kept of it.
type Photograph struct {
	Name, SHA256 string
	RecordedAt   time.Time
	// Reader is the version of the reader that its numbers are from.
	Reader  int
	Quality wax.Quality
	// Print is the printed card in it, "" for a plain one.
	Print    string
	Swatches []wax.Swatch
}

// IsOld reports numbers from an older reader than the present one.
func (p Photograph) IsOld() bool { return p.Reader < photo.ReaderVersion }

// DropAreaPx is the area of a middling drop, in pixels of the upright picture.
func (p Photograph) DropAreaPx() int {
	areas := make([]float64, len(p.Swatches))
	for i, s := range p.Swatches {
		areas[i] = float64(s.AreaPx)
	}
	return middling(areas)
}

// Photographs lists the photographs in the store, the first recorded first.
func (w *Workshop) Photographs(ctx context.Context) ([]Photograph, error) {
	kept, err := w.Store.Contents(ctx)
	if err != nil {
		return nil, err
	}
	of := map[string][]wax.Swatch{}
	for _, s := range kept.Swatches {
		of[s.Photo.SHA256] = append(of[s.Photo.SHA256], s)
	}
	all := make([]Photograph, len(kept.Photos))
	for i, p := range kept.Photos {
		all[i] = Photograph{p.Name, p.SHA256, p.RecordedAt, p.Reader, p.Quality, p.Print, of[p.SHA256]}
	}
	return all, nil
}
