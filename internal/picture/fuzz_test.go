package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"setshade/internal/picture/iccprofile"
	"setshade/internal/picture/picturetest"
)

// FuzzMetadata walks files of every format, then reads the colours they name.
func FuzzMetadata(f *testing.F) {
	for _, quality := range []int{0, 60} {
		file := picturetest.Encoded(f, waves(220, 210), quality)
		f.Add(picturetest.WithEXIF(file, 6)[:400])
		f.Add(picturetest.WithProfile(file, picturetest.DisplayP3, 300)[:1200])
	}
	f.Add(picturetest.TIFF(image.NewNRGBA(image.Rect(0, 0, 2, 2)), picturetest.DisplayP3, 5))
	f.Add(heifBoxes(picturetest.DisplayP3, nclx(12, 13, 6, true)))
	f.Add(append([]byte("\xff\xd8"), picturetest.Segment(0xe1, append([]byte("Exif\x00\x00"), interopBlock("R03")...))...))
	f.Fuzz(func(t *testing.T, file []byte) {
		m := metadataOf(file)
		require.GreaterOrEqual(t, m.orientation, 1)
		require.LessOrEqual(t, m.orientation, 8)
		require.GreaterOrEqual(t, min(m.chromaSteps[Cb], m.chromaSteps[Cr]), 0.0)
		space, _ := m.colours()
		require.NotNil(t, space)
	})
}

// FuzzProfile reads profiles. Any that is accepted turns every code into a finite
// amount of light that rises with the code.
func FuzzProfile(f *testing.F) {
	f.Add(picturetest.DisplayP3)
	for _, curve := range [][]byte{iccprofile.Curve(), iccprofile.Curve(563), iccprofile.Curve(0, 9000, 65535), iccprofile.Parametric(4, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045, 0, 0)} {
		f.Add(iccprofile.New("RGB ", picturetest.DisplayP3Tags(curve)))
	}
	f.Add(iccprofile.New("RGB ", map[string][]byte{"desc": iccprofile.Description("tables"), "A2B0": []byte("mft2")}))
	f.Fuzz(func(t *testing.T, icc []byte) {
		profileName(icc)
		space, err := profileSpace(icc)
		if err != nil {
			return
		}
		for c := range Channels {
			require.True(t, rises(space.light8[c]))
			require.GreaterOrEqual(t, space.slope(c, 0.2), 0.0)
			for _, share := range space.ToSRGB[c] {
				require.Less(t, share*share, 1e6)
			}
		}
	})
}

// fuzzDecoder hands files of one format to its decoder, within the limits and below
// the size that is only slow.
func fuzzDecoder(f *testing.F, of *format) {
	f.Fuzz(func(t *testing.T, file []byte) {
		if !of.matches(file) {
			return
		}
		if header, err := of.config(bytes.NewReader(file)); err == nil && float64(header.Width)*float64(header.Height) > 4e5 {
			return
		}
		if _, err := decode(file); err != nil {
			var refusal *Refusal
			require.ErrorAs(t, err, &refusal)
			require.NotEmpty(t, refusal.Do)
		}
	})
}

func FuzzDecodeTIFF(f *testing.F) {
	img := waves(210, 205)
	f.Add(picturetest.TIFF(img, picturetest.DisplayP3, 6))
	for _, o := range []tiff.Options{{Compression: tiff.Deflate}, {Compression: tiff.Deflate, Predictor: true}} {
		var file bytes.Buffer
		require.NoError(f, tiff.Encode(&file, img, &o))
		f.Add(file.Bytes())
	}
	f.Add([]byte("II*\x00\x08\x00\x00\x00"))
	fuzzDecoder(f, &tiffFormat)
}

func FuzzDecodeHEIC(f *testing.F) {
	card, err := os.ReadFile(filepath.Join("testdata", "card.heic"))
	require.NoError(f, err)
	f.Add(card)
	f.Add(card[:len(card)/2])
	f.Add(tiled(f))
	f.Add(heifBoxes(picturetest.DisplayP3))
	f.Add(binary.BigEndian.AppendUint32(nil, 24))
	fuzzDecoder(f, &heicFormat)
}
