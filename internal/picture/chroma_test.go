package picture

import (
	"bytes"
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/picture/picturetest"
)

// An even block of 132 has the DC coefficient 8 (132 - 128) = 32 (ITU-T T.81, A.3.3).
// Table K.2 divides it by 17: 2 is kept, which stands for 34, a mean of 4.25, that
// the decoder rounds to 132 again (A.3.4). The true mean was between 1.5 and 2.5 times
// 17/8.
func TestMeanWithin(t *testing.T) {
	even := func(v uint8) []uint8 { return bytes.Repeat([]uint8{v}, 64) }
	low, high := meanWithin(even(132), 8, 17.0/8)
	assert.Equal(t, 1.5*17/8, low)
	assert.Equal(t, 2.5*17/8, high)

	// A mean of 0.625 and one of 1.25 both decode to 129.
	low, high = meanWithin(even(129), 8, 0.625)
	assert.Equal(t, 0.5*0.625, low)
	assert.Equal(t, 2.5*0.625, high)

	// Samples that differ tell the one from the other.
	uneven := even(129)
	for i := range 16 {
		uneven[4*i] = 128 + uint8(i%2)*3
	}
	low, high = meanWithin(uneven, 8, 0.625)
	assert.Equal(t, 1.5*0.625, low, "a mean of 1.125")
	assert.Equal(t, 2.5*0.625, high)
}

// slopes is a picture whose colour changes across it.
func slopes(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, color.RGBA{uint8(90 + 100*x/w), uint8(160 - 60*y/h), uint8(60 + 40*x/w + 80*y/h), 255})
		}
	}
	return img
}

// The encoder of Go is the reference: the mean of the chroma that goes into it, 2 x 2
// pixels a sample, lies within the bounds of every block.
func TestChromaHoldsWhatWasEncoded(t *testing.T) {
	img := slopes(416, 304)
	for _, quality := range []int{50, 60, 75, 85, 95} {
		f, err := Open(picturetest.Encoded(t, img, quality))
		require.NoError(t, err)
		k := f.Picture.Chroma
		require.Equal(t, 26*19, k.W*k.H)
		for block := range k.W * k.H {
			var mean [2]float64
			x0, y0, x1, y1 := k.Bounds(block)
			for y := int(y0); y < int(y1); y += 2 {
				for x := int(x0); x < int(x1); x += 2 {
					var sum [2]int
					for i := range 4 {
						c := img.RGBAAt(x+i%2, y+i/2)
						_, cb, cr := color.RGBToYCbCr(c.R, c.G, c.B)
						sum[Cb] += int(cb)
						sum[Cr] += int(cr)
					}
					for c := range sum {
						mean[c] += float64((sum[c]+2)>>2-128) / 64
					}
				}
			}
			for c, v := range mean {
				low, high := k.Within(block, c)
				const arithmetic = 0.05 // of the encoder, in whole numbers
				assert.GreaterOrEqual(t, v, low-arithmetic, "JPEG %d, block %d", quality, block)
				assert.LessOrEqual(t, v, high+arithmetic, "JPEG %d, block %d", quality, block)
				assert.LessOrEqual(t, high-low, k.Step+1)
			}
		}
	}
}

// However the picture is turned (CIPA DC-008, 4.6.4), a block is where its pixels are.
func TestChromaTurnsWithThePicture(t *testing.T) {
	file := picturetest.Encoded(t, slopes(424, 310), 75)
	for orientation := 1; orientation <= 8; orientation++ {
		f, err := Open(picturetest.WithEXIF(file, orientation))
		require.NoError(t, err)
		p := f.Picture
		k := p.Chroma
		seen := make([][3]float64, k.W*k.H) // pixels, Cb and Cr
		for i := range p.W * p.H {
			if block := k.At(float64(i%p.W)+0.5, float64(i/p.W)+0.5); block >= 0 {
				coded := p.CodedAt(i)
				seen[block][0]++
				seen[block][1] += coded.Chroma[Cb]
				seen[block][2] += coded.Chroma[Cr]
			}
		}
		for block, s := range seen {
			require.Equal(t, k.Area(), s[0], "orientation %d", orientation)
			for c := range 2 {
				low, high := k.Within(block, c)
				const rounding = 0.5 // of the decoder, to whole numbers
				assert.Greater(t, s[1+c]/s[0], low-rounding, "orientation %d, block %d", orientation, block)
				assert.Less(t, s[1+c]/s[0], high+rounding, "orientation %d, block %d", orientation, block)
			}
		}
	}
}

func TestBlocksOfEachSubsampling(t *testing.T) {
	for ratio, want := range map[image.YCbCrSubsampleRatio][2]float64{
		image.YCbCrSubsampleRatio444: {8, 8}, image.YCbCrSubsampleRatio422: {16, 8}, image.YCbCrSubsampleRatio420: {16, 16},
		image.YCbCrSubsampleRatio440: {8, 16}, image.YCbCrSubsampleRatio411: {32, 8}, image.YCbCrSubsampleRatio410: {32, 16},
	} {
		img := image.NewYCbCr(image.Rect(0, 0, 96, 64), ratio)
		for i := range img.Cb {
			img.Cb[i], img.Cr[i] = 128, 128
		}
		img.Cb[img.COffset(95, 63)] = 192 // in the last block
		k := keptChroma(img, [2]float64{1, 1})
		x0, y0, x1, y1 := k.Bounds(k.W*k.H - 1)
		assert.Equal(t, want, [2]float64{x1 - x0, y1 - y0}, ratio)
		assert.Equal(t, [2]float64{96, 64}, [2]float64{x1, y1}, ratio)
		low, high := k.Within(k.At(95.5, 63.5), Cb)
		assert.Equal(t, [2]float64{0.5, 1.5}, [2]float64{low, high}, "64 over 64 samples")
		assert.Equal(t, -1, k.At(96.5, 1))
		assert.Equal(t, -1, k.At(1, -0.5))
	}
}

// Each component names its table (ITU-T T.81, B.2.2).
func TestStepsByComponent(t *testing.T) {
	var q quantisers
	table := func(id, first byte) []byte { return append([]byte{id, first}, make([]byte, 63)...) }
	q.add(append(table(0, 16), table(1, 10)...))
	q.add(table(2, 24))
	q.readFrame([]byte{8, 0, 16, 0, 16, 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 2})
	assert.Equal(t, [2]float64{10.0 / 8, 3}, q.chroma())
	q.readFrame([]byte{8, 0, 16, 0, 16, 1, 1, 0x11, 0})
	assert.Zero(t, q.chroma(), "grey")
}

func TestOnlyJPEGHasChroma(t *testing.T) {
	f, err := Open(picturetest.Encoded(t, slopes(300, 220), 0))
	require.NoError(t, err)
	assert.Nil(t, f.Picture.Chroma)
}

// Pure red is Y 76.245, Cb 84.97 and Cr 255.5 (ITU-T T.871, section 7, before
// rounding).
func TestCoded(t *testing.T) {
	c := SRGB.Coded([Channels]float64{1, 0, 0})
	assert.InDelta(t, 76.245, c.Luma-SRGB.foot, 1e-3)
	assert.InDelta(t, 84.97-128, c.Chroma[Cb], 0.01)
	assert.InDelta(t, 127.5, c.Chroma[Cr], 1e-3)
}

// The power law of sRGB is 1.055 L^(1/2.4) - 0.055 (IEC 61966-2-1:1999, 5.2); Adobe RGB
// (1998) has no toe.
func TestFootOfCurves(t *testing.T) {
	assert.InDelta(t, 0.055*255, SRGB.foot, 0.05)
	assert.InDelta(t, 0, adobeRGB.foot, 0.05)
	for _, space := range []*ColourSpace{SRGB, DisplayP3, adobeRGB} {
		light := [Channels]float64{0.5, 0.3, 0.2}
		full := space.Coded(light)
		half := space.Coded([Channels]float64{0.25, 0.15, 0.1})
		for c := range full.Chroma {
			assert.InDelta(t, full.Chroma[c]/full.Luma, half.Chroma[c]/half.Luma, 1e-3)
		}
		same := space.Recoloured(light, [2]float64{})
		redder := space.Coded(space.Recoloured(light, [2]float64{-2, 3}))
		for c := range light {
			assert.InDelta(t, light[c], same[c], 1e-6)
		}
		assert.InDelta(t, full.Luma, redder.Luma, 0.01)
		assert.InDelta(t, full.Chroma[Cb]-2, redder.Chroma[Cb], 0.01)
		assert.InDelta(t, full.Chroma[Cr]+3, redder.Chroma[Cr], 0.01)
	}
	assert.False(t, math.IsNaN(SRGB.Coded([Channels]float64{-0.1, 2, 0}).Luma))
}
