package workshop

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/photo"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
)

// A place of a photograph is set right by the strip that the store knows, as a
// recorded card is: the printed patches, by a camera that bends its tones, come within
// what DESIGN owes a photograph with a chart (median 0.7), where white alone is
// farther off. The truth is what package scene printed.
func TestAccuracyOfASpotByTheKnownStrip(t *testing.T) {
	b, ctx := newBench(t, scene.NewWax(scene.Soy), 1, 3), context.Background()
	picture, truth := b.printed(bentTones)
	g := card.Layout(card.A5)
	misses := func() (median float64, notes []string) {
		known, err := b.strips(ctx)
		require.NoError(t, err)
		var all []float64
		for i, patch := range g.Strip {
			if truth.Strip[i].Display().Clipped {
				continue
			}
			at := truth.ToPicture.Map(scene.Point{X: (patch.Rect.Min.X + patch.Rect.Max.X) / 2, Y: (patch.Rect.Min.Y + patch.Rect.Max.Y) / 2})
			got, said, err := PhotoSpot{Name: "spot.jpg", Photo: picture.Photo, Place: photo.Place{X: at.X, Y: at.Y, Radius: 4}}.colour(known)
			require.NoError(t, err)
			all, notes = append(all, spectrum.DE00(got.lab, truth.Strip[i])), said
		}
		slices.Sort(all)
		return all[len(all)/2], notes
	}
	white, said := misses()
	assert.Contains(t, strings.Join(said, " "), "by the card's white alone")
	require.NoError(t, b.SaveReference(ctx, g, "strip.csv", truth.Strip))
	known, said := misses()
	t.Logf("median of patches: %.2f dE00 by white alone, %.2f by the measured strip", white, known)
	assert.Contains(t, strings.Join(said, " "), "set right by the strip of the printed card as it was measured")
	assert.LessOrEqual(t, known, 0.7)
	assert.Less(t, known, white/2)
}
