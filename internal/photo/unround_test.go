package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/picture"
)

// shadedArea is one colour under light that falls by a tenth from left to right.
func shadedArea(r, g, b float64) *image.RGBA {
	const w, h = 320, 256
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			light := 1 - 0.1*float64(x)/w
			code := func(v float64) uint8 { return uint8(math.Round(255 * picture.SRGBCode(v*light))) }
			img.SetRGBA(x, y, color.RGBA{code(r), code(g), code(b), 255})
		}
	}
	return img
}

// An area of one colour in changing light, as the encoder of Go writes it at quality
// 60 with chroma in steps of 14/8 (ITU-T T.81, table K.2 and its scaling), is given its
// colour back to a small part of that step.
func TestUnroundFindsTheChroma(t *testing.T) {
	var before, after, said float64
	n := 0.0
	for _, c := range [][3]float64{{0.5, 0.4, 0.2}, {0.3, 0.42, 0.5}, {0.6, 0.3, 0.35}, {0.2, 0.35, 0.15}, {0.7, 0.62, 0.5}, {0.4, 0.2, 0.1}} {
		img := shadedArea(c[0], c[1], c[2])
		var file bytes.Buffer
		require.NoError(t, jpeg.Encode(&file, img, &jpeg.Options{Quality: 60}))
		f, err := picture.Open(file.Bytes())
		require.NoError(t, err)
		p, truth := f.Picture, picture.SRGB.Coded(c)
		require.Equal(t, 14.0/8, p.Chroma.Step)
		var pixels []areaPixel
		luma, guess := 0.0, [2]float64{}
		for y := 96; y < 160; y++ {
			for x := 0; x < 320; x++ {
				coded := p.CodedAt(y*p.W + x)
				pixels = append(pixels, areaPixel{index: y*p.W + x, terms: []float64{coded.Luma}})
				luma += coded.Luma
				for k, v := range coded.Chroma {
					guess[k] += v
				}
			}
		}
		for i := range pixels {
			for k := range guess {
				pixels[i].guess[k] = guess[k] / luma * pixels[i].terms[0]
			}
			pixels[i].terms[0] /= truth.Luma
		}
		found, ok := unround(p, pixels, []float64{p.Chroma.Step})
		require.True(t, ok)
		for k, v := range truth.Chroma {
			usual := guess[k] / luma * truth.Luma
			before += math.Pow(usual-v, 2)
			after += math.Pow(usual+found.theta[k][0]-v, 2)
			said += found.variance[k][0]
			n++
		}
		middle := len(pixels) / 2
		own := p.CodedAt(pixels[middle].index)
		painted := p.Code.Space.Coded(found.light(p, &pixels[middle]))
		assert.InDelta(t, own.Luma, painted.Luma, 0.05)
	}
	t.Logf("off by %.3f before, by %.3f after, by its own word %.3f", math.Sqrt(before/n), math.Sqrt(after/n), math.Sqrt(said/n))
	assert.Less(t, math.Sqrt(after/n), 0.15*14/8)
	assert.Less(t, after, before)
}

// A bit of another colour keeps it, and blocks that hold one are not asked.
func TestUnroundLeavesBits(t *testing.T) {
	img := shadedArea(0.5, 0.4, 0.2)
	for y := 120; y < 126; y++ {
		for x := 40; x < 46; x++ {
			img.SetRGBA(x, y, color.RGBA{40, 160, 60, 255})
		}
	}
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, img, &jpeg.Options{Quality: 60}))
	f, err := picture.Open(file.Bytes())
	require.NoError(t, err)
	p := f.Picture
	var pixels []areaPixel
	for y := 112; y < 144; y++ {
		for x := 32; x < 96; x++ {
			coded := p.CodedAt(y*p.W + x)
			bit := x >= 40 && x < 46 && y >= 120 && y < 126
			pixels = append(pixels, areaPixel{index: y*p.W + x, guess: [2]float64{-20, 10}, terms: []float64{coded.Luma / 150}, spoilt: bit})
		}
	}
	found, ok := unround(p, pixels, []float64{30})
	require.True(t, ok)
	assert.Equal(t, 7, len(blocksOf(p, pixels, 1)[picture.Cb]), "of eight")
	for i := range pixels {
		before, after := p.CodedAt(pixels[i].index), p.Code.Space.Coded(found.light(p, &pixels[i]))
		for k := range 2 {
			assert.InDelta(t, before.Chroma[k], after.Chroma[k], mostChange*p.Chroma.Step+0.05)
		}
	}
	_, ok = unround(p, pixels[:16*16], []float64{30})
	assert.False(t, ok, "too few blocks")
	p.Chroma = nil
	_, ok = unround(p, pixels, []float64{30})
	assert.False(t, ok, "no JPEG")
}
