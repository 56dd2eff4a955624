package photo

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// veiled adds so much light, as a share of full scale, to a rendered drop as far as so
// many of its radii, as of a bright sky mirrored in its flat top.
func veiled(img *image.RGBA, d scene.Truth, wide, light float64) {
	const soft = 0.04
	reach := int(d.RadiusPx)
	for y := int(d.CentrePx.Y) - reach; y <= int(d.CentrePx.Y)+reach; y++ {
		for x := int(d.CentrePx.X) - reach; x <= int(d.CentrePx.X)+reach; x++ {
			rho := math.Hypot(float64(x)+0.5-d.CentrePx.X, float64(y)+0.5-d.CentrePx.Y) / d.RadiusPx
			if rho > 1 {
				continue
			}
			i := img.PixOffset(x, y)
			for c := range 3 {
				lit := float64(lightOfCode[img.Pix[i+c]]) + light/(1+math.Exp((rho-wide)/soft))
				img.Pix[i+c] = uint8(min(codeOf(lit)+0.5, 255))
			}
		}
	}
}

// A veil over the middle of a drop that ends within the drop, of two hundredths of full
// scale, sets no drop over 2 dE00 off (seen side by side; common practice, no source)
// without a word. (Rendered.) One that ends at the drop's rim, or beyond, cannot be told
// from paler wax.
func TestVeilOverTheMiddleOfADrop(t *testing.T) {
	t.Skip("owed: a veil over all that is read, 0.6 of the radius, puts a dark drop 4 dE00 off without a word")
	t.Parallel()
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	truth := sheet.Photograph(scene.Options{Seed: 2, WidthPx: 1000, HeightPx: 750, LightRatio: 1.1, Exposure: 0.75})
	for _, v := range []struct{ wide, light float64 }{{0.5, 0.02}, {0.6, 0.02}} {
		img := image.NewRGBA(truth.Image.Rect)
		copy(img.Pix, truth.Image.Pix)
		for i := 0; i < 10; i += 3 {
			veiled(img, truth.Drops[i], v.wide, v.light)
		}
		r, err := Read(picturetest.Encoded(t, img, 92), Expect{Rows: []int{5, 5, 5}, Card: truth.Card})
		require.NoError(t, err)
		for i, d := range r.Drops {
			off := spectrum.DE00(d.Colour.Lab, truth.Drops[i].Middle)
			veiled := i < 10 && i%3 == 0
			t.Logf("%+v, drop %d, veiled: %v: dE00 %.2f, %v", v, d.Number, veiled, off, d.Notes)
			assert.True(t, off < 2 || veiled && len(d.Notes) > 0, "%+v, drop %d: dE00 %.2f", v, d.Number, off)
		}
	}
}
