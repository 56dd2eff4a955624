package photo

import (
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plane"
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
