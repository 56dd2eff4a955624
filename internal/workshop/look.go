package workshop

import (
	"context"
	"fmt"
	"image"
	"slices"

	"setshade/internal/photo"
	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Sight is what a photograph shows before anyone has said which drop is which
// dose.
type Sight struct {
	// Drops are the colours of the drops, in card order.
	Drops []spectrum.Lab
	// Numbers are those of the drops: of their places on a printed card, else counted
	// from 1.
	Numbers []int
	// Notes are remarks on the picture, in plain words.
	Notes []string
	// Correction is how the colours were set right, and Quality what light and
	// picture are like.
	Correction wax.Correction
	Quality    wax.Quality
	// Print is the printed card that was recognised, "" for a plain one.
	Print string
	// DropAreaPx is the area of a middling drop, in pixels of the upright picture.
	DropAreaPx int
	// Overlay shows what was seen where; nil when the picture could not be decoded.
	Overlay image.Image
	// Bounds are the boxes of the drops on the Overlay, in its pixels and in card order.
	Bounds []image.Rectangle
}

// Look finds the drops of a photograph, so that doses can be given beside a picture of
// them: those that the plan has, or as many as there are where it has none yet. When the
// photograph is refused, the Sight still holds the overlay that shows why.
func (w *Workshop) Look(ctx context.Context, name string, bytes []byte, p plan.Plan, beside Chart) (Sight, error) {
	known, err := w.strips(ctx)
	if err != nil {
		return Sight{}, err
	}
	seen, err := look(bytes, p, beside.Colours, known)
	s := Sight{
		Notes: beside.told(seen.Notes), Correction: correctionOf(seen), Quality: wax.Quality(seen.Quality), Print: printOf(seen),
		DropAreaPx: middlingArea(seen), Overlay: seen.Overlay(), Bounds: seen.OverlayBounds(),
	}
	if err != nil {
		return s, fmt.Errorf("photograph %s: %w", name, err)
	}
	namesakes, err := w.lostNamesakes(ctx, name, bytes)
	if err != nil {
		return s, err
	}
	s.Notes = slices.Concat(s.Notes, known.anchorNotes(seen), namesakes)
	for _, d := range seen.Drops {
		s.Drops, s.Numbers = append(s.Drops, d.Colour.Lab), append(s.Numbers, d.Number)
	}
	return s, nil
}

// look reads a photograph as its plan says, with the strips that are known.
func look(picture []byte, p plan.Plan, chart wax.Strip, known strips) (photo.Reading, error) {
	return photo.Read(picture, photo.Expect{
		Drops: len(p.Drops), Rows: p.Rows, Places: p.Places(), Card: p.Card, Liquid: p.State == wax.LiquidState, Thick: p.Thick,
		StripOf: known.of, Chart: chart, Light: p.Light,
	})
}
