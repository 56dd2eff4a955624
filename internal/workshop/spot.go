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
}

// wanted is the colour of a wish, with remarks on how it was read.
func (w *Workshop) wanted(ctx context.Context, wish Wish) (named, []string, error) {
	if wish.Spot == nil {
		wanted, err := w.colour(ctx, wish.Colour)
		return wanted, nil, err
	}
	return wish.Spot.colour()
}

// colour reads the place, taken as the shade of a finished piece. A printed card
// in the picture is taken to be of usual white card.
func (s PhotoSpot) colour() (named, []string, error) {
	read, err := photo.Spot(s.Photo, s.Place, photo.Expect{Card: plan.UsualCard})
	if err != nil {
		return named{}, nil, fmt.Errorf("photograph %s: %w", s.Name, err)
	}
	return named{lab: read.Colour.Lab, view: calibrate.View{Thick: true}}, read.Notes, nil
}
