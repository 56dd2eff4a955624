package workshop

import (
	"context"
	"fmt"

	"setshade/internal/calibrate"
	"setshade/internal/photo"
	"setshade/internal/plan"
)

// PhotoSpot is a place of a photograph.
type PhotoSpot struct {
	Name  string
	Photo []byte
	Place photo.Place
	// Chart lies in the picture.
	Chart Chart
}

// wanted is the colour of a wish, with remarks on how it was read.
func (w *Workshop) wanted(ctx context.Context, wish Wish) (named, []string, error) {
	if wish.Spot == nil {
		wanted, err := w.colour(ctx, wish.Colour)
		return wanted, nil, err
	}
	known, err := w.strips(ctx)
	if err != nil {
		return named{}, nil, err
	}
	return wish.Spot.colour(known)
}

// colour reads the place, taken as the shade of a finished piece. A printed card
// in the picture is taken to be of usual white card, its strip as it is known.
func (s PhotoSpot) colour(known strips) (named, []string, error) {
	read, err := photo.Spot(s.Photo, s.Place, photo.Expect{Card: plan.UsualCard, StripOf: known.of, Chart: s.Chart.Colours})
	if err != nil {
		return named{}, nil, fmt.Errorf("photograph %s: %w", s.Name, err)
	}
	notes := s.Chart.told(read.Notes)
	if by := setRightBy(read.Correction); by != "" {
		notes = append(notes, by)
	}
	return named{lab: read.Colour.Lab, view: calibrate.View{Thick: true}}, notes, nil
}

// setRightBy says what the colour was set right by; "" where the reader has said so
// itself, of a card's white or of nothing.
func setRightBy(c photo.Correction) string {
	by := ""
	switch c.Kind {
	case photo.ByReference:
		by = "the strip of the printed card as it was measured"
	case photo.ByAnchor:
		by = "the strip of the printed card, to agree with the first photograph of it"
	case photo.ByChart:
		by = "the chart"
	default:
		return ""
	}
	return fmt.Sprintf("the colour was set right by %s, which leaves %.1f dE00 at patches that were held back", by, c.HeldOutDE00)
}
