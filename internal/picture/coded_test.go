package picture

import (
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A pixel's light is that of the codes of color.YCbCrToRGB, which the image's At gives
// (ITU-T T.871, section 7), but for one step where those stand between two codes.
func TestCodedLightIsThatOfTheConversion(t *testing.T) {
	const w, h = 200, 200
	img := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	rng := rand.New(rand.NewPCG(1, 2))
	for _, plane := range [][]uint8{img.Y, img.Cb, img.Cr} {
		for i := range plane {
			plane[i] = uint8(rng.IntN(256))
		}
	}
	p := FromImage(img, SRGB)
	stepped := 0
	for i := range w * h {
		r, g, b, _ := img.At(i%w, i/w).RGBA()
		for c, code := range [Channels]uint32{r >> 8, g >> 8, b >> 8} {
			low, high := SRGB.light8[c][max(code, 1)-1], SRGB.light8[c][min(code+1, 255)]
			assert.True(t, p.Light[c][i] >= low && p.Light[c][i] <= high)
			if p.Light[c][i] != SRGB.light8[c][code] {
				stepped++
			}
		}
		assert.Equal(t, max(r, g, b)>>8 >= clippedCode, p.Clipped[i] == 255)
		assert.Equal(t, min(r, g, b)>>8 == 0, p.Crushed[i] == 255)
	}
	assert.Less(t, stepped, w*h*Channels/500)
}
