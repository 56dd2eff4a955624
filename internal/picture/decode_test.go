package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"setshade/internal/picture/picturetest"
)

// Codes of 16 bits are read as such: light between two codes of 8 bits stays
// between them.
func TestSixteenBits(t *testing.T) {
	img := image.NewNRGBA64(image.Rect(0, 0, 320, 240))
	const code = 20*257 + 100
	for i := range 320 * 240 {
		img.SetNRGBA64(i%320, i/320, color.NRGBA64{code, code + 16, code + 32, 0xffff})
	}
	var deep bytes.Buffer
	require.NoError(t, tiff.Encode(&deep, img, nil))
	for name, file := range map[string][]byte{"PNG": picturetest.Encoded(t, img, 0), "TIFF": deep.Bytes()} {
		decoded, err := decode(file)
		require.NoError(t, err, name)
		p := FromImage(decoded, SRGB)
		for c := range Channels {
			want := SRGBCurve(float64(code+16*c) / 65535)
			assert.InEpsilon(t, want, p.Light[c][0], 0.002, name)
		}
	}
}

// Files that are refused for what their headers say, before anything is unpacked.
func TestRefusedByHeader(t *testing.T) {
	hugeTIFF := picturetest.TIFF(image.NewNRGBA(image.Rect(0, 0, 2, 2)), nil, 1)
	for _, at := range []int{10 + 8, 10 + 12 + 8} { // the values of width and length
		binary.LittleEndian.PutUint32(hugeTIFF[at:], 20000)
	}
	var palette bytes.Buffer
	require.NoError(t, tiff.Encode(&palette, image.NewGray(image.Rect(0, 0, 300, 300)), nil))
	jpegTIFF := picturetest.TIFF(waves(660, 480), nil, 1)
	binary.LittleEndian.PutUint16(jpegTIFF[10+3*12+8:], 7) // compression by JPEG
	for says, file := range map[string][]byte{
		"400 megapixels":                    hugeTIFF,
		"256 megapixels":                    heifBoxes(nil, ispe(16000, 16000)),
		"black and white":                   palette.Bytes(),
		"colours in a way that is not read": heifBoxes(nil, nclx(1, 13, 9, true)),
		"(matrix 6)":                        heifBoxes(nil, nclx(1, 13, 6, false)),
		"AVIF":                              isoBox("ftyp", []byte("avif\x00\x00\x00\x00mif1")),
		"damaged":                           isoBox("ftyp", []byte("heic\x00\x00\x00\x00mif1")),
		"a kind of TIFF":                    jpegTIFF,
		"breaks off":                        heifBoxes(nil)[:len(heifBoxes(nil))-2],
	} {
		_, err := decode(file)
		var refusal *Refusal
		require.ErrorAs(t, err, &refusal, says)
		assert.Contains(t, refusal.Error(), says)
	}
}

// A picture that lets through what lies behind it is refused, by whichever channel or
// table of alpha; an alpha channel that hides nothing changes nothing.
func TestSeeThrough(t *testing.T) {
	veil, deep := waves(300, 200), image.NewNRGBA64(image.Rect(0, 0, 300, 200))
	pale := image.NewPaletted(veil.Rect, color.Palette{color.NRGBA{9, 9, 9, 255}, color.NRGBA{9, 9, 9, 128}})
	for y := range 200 {
		for x := range 300 {
			c := veil.NRGBAAt(x, y)
			c.A = 128
			veil.SetNRGBA(x, y, c)
			deep.Set(x, y, c)
			pale.SetColorIndex(x, y, 1)
		}
	}
	for name, file := range map[string][]byte{
		"PNG": picturetest.Encoded(t, veil, 0), "16 bits": picturetest.Encoded(t, deep, 0),
		"palette": picturetest.Encoded(t, pale, 0), "TIFF": tiffOf(t, veil),
	} {
		_, err := decode(file)
		assert.ErrorContains(t, err, "see-through", name)
	}
	_, err := decode(tiffOf(t, waves(300, 200)))
	assert.NoError(t, err, "an alpha of 255 all over")
}

func tiffOf(t *testing.T, img image.Image) []byte {
	var file bytes.Buffer
	require.NoError(t, tiff.Encode(&file, img, nil))
	return file.Bytes()
}

// waves is a picture of colours that change everywhere.
func waves(w, h int) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i := range w * h {
		x, y := float64(i%w), float64(i/w)
		wave := func(along float64) uint8 { return uint8(128 + 100*math.Sin(along/17)) }
		img.SetNRGBA(i%w, i/w, color.NRGBA{wave(x), wave(y), wave(x + 2*y), 255})
	}
	return img
}
