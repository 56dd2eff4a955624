package photo

import (
	"fmt"
	"image"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture"
	"setshade/internal/picture/picturetest"
	"setshade/internal/plane"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// The width of an edge blurred over a box is the box's from a fifth to four
// fifths, 0.6 of it. Of a drop's radius, 28 pixels here, a tenth is noted and a
// quarter refused; what is read is right.
func TestRenderedBlur(t *testing.T) {
	t.Parallel()
	c := smallCard()
	c.turn = 0
	sharp := c.render()
	read := func(box int) (Reading, error) {
		return Read(picturetest.Encoded(t, blurredOver(sharp, box), 0), plan)
	}
	r, err := read(1)
	require.NoError(t, err)
	assert.Less(t, r.Quality.EdgePx, 2.5)
	assert.NotContains(t, r.Notes[len(r.Notes)-1], "blurred")
	r, err = read(8)
	require.NoError(t, err)
	assert.InDelta(t, 0.6*8, r.Quality.EdgePx, 1)
	assert.Contains(t, r.Notes[len(r.Notes)-1], "blurred")
	for i, d := range r.Drops {
		assert.Less(t, spectrum.DE00(d.Colour.Lab, c.drops[i].lab), 1.0)
	}
	for _, box := range []int{15, 30, 90} {
		_, err = read(box)
		assert.ErrorContains(t, err, "blurred")
		assert.ErrorContains(t, err, "hold the camera still")
	}
}

// A printed card photographed with a moving camera is called blurred, however far it
// moved: not a card without edges, nor one with other drops than planned.
func TestRenderedBlurOfPrintedCard(t *testing.T) {
	t.Parallel()
	truth := printedSheet(card.A5, sceneShelf, wax.SetState).Photograph(scene.Options{Seed: 4, WidthPx: 880, HeightPx: 660})
	img := plainPixels(truth.Image)
	want := Expect{Rows: []int{5, 5, 5}, Card: truth.Card}
	r, err := Read(picturetest.Encoded(t, blurredOver(img, 9), 0), want)
	require.NoError(t, err)
	assert.InDelta(t, 0.6*9, r.Quality.EdgePx, 1.2, "the direction in which it is blurred")
	assert.Contains(t, fmt.Sprint(r.Notes), "blurred")
	for _, d := range r.Drops {
		i := slices.IndexFunc(truth.Drops, func(of scene.Truth) bool { return of.Number == d.Number })
		assert.Less(t, spectrum.DE00(d.Colour.Lab, truth.Drops[i].Middle), 2.5, "drop %d", d.Number)
	}
	for _, box := range []int{20, 40, 120} {
		_, err := Read(picturetest.Encoded(t, blurredOver(img, box), 0), want)
		assert.ErrorContains(t, err, "blurred", "over %d pixels", box)
	}
}

// A card of half a megapixel out of focus by a quarter of a drop's radius is called blurred:
// light of the card in a drop is no lamp that mirrors in it. (Rendered.)
func TestBlurOfASmallPicture(t *testing.T) {
	t.Parallel()
	truth := printedSheet(card.A5, sceneShelf, wax.SetState).Photograph(scene.Options{Seed: 1, WidthPx: 800, HeightPx: 600, RotationDegrees: 3, TiltDegrees: 8})
	img := plainPixels(truth.Image)
	const passes, box = 3, 8 // three boxes are near a Gaussian of 4 pixels
	for range passes {
		img = mirrored45(blurredOver(mirrored45(blurredOver(img, box)), box))
	}
	_, err := Read(picturetest.Encoded(t, img, 90), Expect{Rows: []int{5, 5, 5}, Card: truth.Card})
	require.ErrorContains(t, err, "the picture is blurred")
	assert.ErrorContains(t, err, "hold the camera still")
	assert.NotContains(t, err.Error(), "turn the card or move the lamp")
}

// mirrored45 swaps rows and columns.
func mirrored45(img *image.NRGBA) *image.NRGBA {
	out := image.NewNRGBA(image.Rect(0, 0, img.Rect.Dy(), img.Rect.Dx()))
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			out.SetNRGBA(y, x, img.NRGBAAt(x, y))
		}
	}
	return out
}

func TestWidestEdge(t *testing.T) {
	var ways []plane.Point
	var widths []float64
	for k := range 48 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 48)
		along := cos*math.Cos(0.5) + sin*math.Sin(0.5)
		ways = append(ways, plane.Point{X: cos, Y: sin})
		widths = append(widths, math.Hypot(2, 6*along)) // moved along 0.5 radians
	}
	widths[7] = 90 // a thumb's edge
	assert.InDelta(t, math.Hypot(2, 6), widestEdge(ways, widths), 0.05)
}

// A picture without contrast has no edges to tell by, a sharp one sharp ones.
func TestSharpestEdge(t *testing.T) {
	assert.Zero(t, sharpestEdge(picture.FromImage(plain(image.White), picture.SRGB)))
	c := smallCard()
	assert.Less(t, sharpestEdge(picture.FromImage(c.render(), picture.SRGB)), 3.5)
	assert.InDelta(t, 0.6*30, sharpestEdge(picture.FromImage(blurredOver(c.render(), 30), picture.SRGB)), 3)
}
