package photo

import (
	"fmt"
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
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

// A veil over the middle of a drop, which ends within the drop, is told from two hundredths
// of full scale on, which set it 1 to 4 dE00 off, and other drops are not blamed.
// (Rendered.) One that ends at the drop's rim, or beyond, cannot be told from paler wax.
func TestVeilOverTheMiddleOfADrop(t *testing.T) {
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
			if notes := fmt.Sprint(d.Notes); i < 10 && i%3 == 0 {
				assert.Contains(t, notes, "paler in its middle than around it", "%+v, drop %d", v, d.Number)
			} else {
				assert.NotContains(t, notes, "paler in its middle", "%+v, drop %d", v, d.Number)
			}
		}
	}
}
