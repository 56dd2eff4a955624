package photo

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// The light of the test card is known: it falls from the upper left to the lower
// right. The residual of bare card is middle grey, of a dark drop black.
func TestPictures(t *testing.T) {
	c := smallCard()
	c.light, c.lamp = 2, [3]float64{1, 0.8, 0.6}
	r, err := Read(c.file(t), plan)
	require.NoError(t, err)
	field, left := r.FlatField(), r.Residuals()
	require.NotNil(t, field)
	require.NotNil(t, left)
	assert.Equal(t, 660, field.Bounds().Dx())
	onto := plane.SquareTo(c.corners())
	pixel := func(img interface{ At(x, y int) color.Color }, u, v float64) color.RGBA {
		p := onto.Apply(plane.Point{X: u, Y: v})
		return img.At(int(p.X), int(p.Y)).(color.RGBA)
	}
	bright, dim := pixel(field, 0.05, 0.05), pixel(field, 0.95, 0.95)
	assert.Greater(t, bright.R, dim.R+40)
	assert.Greater(t, bright.R, bright.B, "the lamp is warm")
	assert.Equal(t, color.RGBA{40, 40, 40, 255}, field.At(2, 2))
	var sum [3]float64 // over noise
	for k := range 400 {
		grey := pixel(left, 0.02+0.02*float64(k%20)/20, 0.3+0.4*float64(k/20)/20)
		for c, v := range []uint8{grey.R, grey.G, grey.B} {
			sum[c] += float64(v) / 400
		}
	}
	assert.InDeltaSlice(t, []float64{128, 128, 128}, sum[:], 25)
	last := c.drops[11]
	assert.Zero(t, pixel(left, last.u/testAspect, last.v).R)

	var none Reading
	assert.Nil(t, none.FlatField())
	assert.Nil(t, none.Residuals())
}

// Below the pictures of the light stands their scale: the bar runs from black to
// white.
func TestPicturesHaveAScale(t *testing.T) {
	r, err := Read(smallCard().file(t), plan)
	require.NoError(t, err)
	for _, img := range []image.Image{r.FlatField(), r.Residuals()} {
		b := img.Bounds()
		require.Greater(t, b.Dy(), r.picture.H)
		bar := 0
		for y := r.picture.H; y < b.Dy(); y++ {
			left, right := img.At(b.Dx()/20, y).(color.RGBA), img.At(b.Dx()*19/20, y).(color.RGBA)
			if left.R < 80 && right.R > 230 && right.R == right.B {
				bar++
			}
		}
		assert.Greater(t, bar, 8)
	}
}

// What was left out is told by its way of hatching as well as by its colour: in grey,
// no two kinds are alike.
func TestLeftOutIsHatched(t *testing.T) {
	const side = 24
	seen := map[[side * side]bool]use{}
	for _, u := range []use{useForeign, useRim} {
		var pattern [side * side]bool
		wax := color.RGBA{120, 120, 120, 255}
		weakest := hatched(wax, u, 0, 0)
		for i := range pattern {
			pattern[i] = hatched(wax, u, i%side, i/side) == weakest
		}
		other, taken := seen[pattern]
		assert.False(t, taken, "%d looks like %d", u, other)
		seen[pattern] = u
	}
}

// A splash is struck out on the overlay where it lies.
func TestSplashesAreDrawn(t *testing.T) {
	c := plainCard()
	c.drops = append(c.drops, testDrop{0.47, 0.33, 0.028, spectrum.Lab{L: 40, A: 40, B: 20}})
	r, err := Read(c.file(t), plan)
	require.NoError(t, err)
	require.Len(t, r.splashes, 1)
	p := plane.SquareTo(c.corners()).Apply(plane.Point{X: 0.47 / testAspect, Y: 0.33})
	x0, y0, x1, y1 := bounds(r.splashes[0])
	scale := float64(r.picture.Scale)
	assert.InDelta(t, p.X, (x0+x1)/2*scale, 4)
	assert.InDelta(t, p.Y, (y0+y1)/2*scale, 4)
	img, zoom := r.Overlay().(*image.RGBA), r.overlayZoom()
	struck := 0
	for y := int(y0 * zoom); y < int(y1*zoom); y++ {
		for x := int(x0 * zoom); x < int(x1*zoom); x++ {
			if img.RGBAAt(x, y) == inkSplash {
				struck++
			}
		}
	}
	assert.Greater(t, struck, 40)
}
