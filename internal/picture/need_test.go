package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"setshade/internal/picture/picturetest"
)

// headOfPNG promises a picture of red, green and blue.
func headOfPNG(w, h uint32, bits, interlaced byte) []byte {
	body := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	return append([]byte(pngSignature), picturetest.Chunk("IHDR", append(body, bits, 2, 0, 0, interlaced))...)
}

// headOfJPEG ends with the header of its first scan; its frame header has the sampling of
// Y (ITU-T T.81, B.2.2 and B.2.3).
func headOfJPEG(w, h uint16, frame, sampling byte) []byte {
	body := binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16([]byte{8}, h), w)
	head := append([]byte("\xff\xd8"), picturetest.Segment(frame, append(body, 3, 1, sampling, 0, 2, 0x11, 0, 3, 0x11, 0))...)
	return append(head, picturetest.Segment(0xda, []byte{3, 1, 0, 2, 0x11, 3, 0x11, 0, 63, 0})...)
}

// headOfTIFF is of a size, in one strip of 16 bits packed by Deflate.
func headOfTIFF(t *testing.T, w, h uint32) []byte {
	var file bytes.Buffer
	require.NoError(t, tiff.Encode(&file, image.NewNRGBA64(image.Rect(0, 0, 300, 300)), &tiff.Options{Compression: tiff.Deflate}))
	data := file.Bytes()
	for at := int(binary.LittleEndian.Uint32(data[4:])) + 2; at+12 <= len(data); at += 12 {
		switch binary.LittleEndian.Uint16(data[at:]) {
		case 256:
			binary.LittleEndian.PutUint32(data[at+4+4:], w)
			binary.LittleEndian.PutUint16(data[at+2:], tiffLong)
		case 257, 278:
			binary.LittleEndian.PutUint16(data[at+2:], tiffLong)
			binary.LittleEndian.PutUint32(data[at+4+4:], h)
		}
	}
	return data
}

// What a picture takes in memory is judged before it is unpacked, by the bits and the
// way of packing of each format.
func TestMemoryIsJudgedBeforeDecoding(t *testing.T) {
	for name, file := range map[string][]byte{
		"98 megapixels of 16 bits":              headOfPNG(14000, 7000, 16, 0),
		"48 megapixels of 16 bits, twice over":  headOfPNG(8000, 6000, 16, 1),
		"48 megapixels of a JPEG in many scans": headOfJPEG(8000, 6000, 0xc2, 0x11),
		"40 megapixels of 16 bits in one strip": headOfTIFF(t, 8000, 5000),
		"48 megapixels of a HEIC in one piece":  bytes.Replace(heifBoxes(nil), ispe(660, 480), ispe(8064, 6048), 1),
		"96 megapixels in one strip":            headOfTIFF(t, 12000, 8000),
	} {
		_, err := decode(file)
		require.ErrorContains(t, err, "MB of memory", name)
	}
	for name, file := range map[string][]byte{
		"48 megapixels of a phone":         headOfJPEG(8000, 6000, 0xc0, 0x22),
		"48 megapixels of a phone, resent": headOfJPEG(8000, 6000, 0xc2, 0x22),
		"48 megapixels of 16 bits":         headOfPNG(8000, 6000, 16, 0),
		"98 megapixels":                    headOfPNG(14000, 7000, 8, 0),
	} {
		_, err := decode(file)
		require.ErrorContains(t, err, "breaks off", name)
	}
}

// The judge is held to what the decoders truly allocate, given back or not.
func TestMemoryJudgedIsMemoryTaken(t *testing.T) {
	small, deep := waves(1000, 900), image.NewNRGBA64(image.Rect(0, 0, 1000, 900))
	for i := range deep.Pix {
		deep.Pix[i] = byte(i*i>>3) | 1
	}
	for i := 6; i < len(deep.Pix); i += 8 {
		deep.Pix[i], deep.Pix[i+1] = 255, 255
	}
	var packed bytes.Buffer
	require.NoError(t, tiff.Encode(&packed, deep, &tiff.Options{Compression: tiff.Deflate}))
	phone, err := os.ReadFile(filepath.Join("..", "..", "swatches", "bracken-set.jpg"))
	require.NoError(t, err)
	for name, file := range map[string][]byte{
		"PNG": picturetest.Encoded(t, small, 0), "PNG of 16 bits": picturetest.Encoded(t, deep, 0),
		"TIFF": tiffOf(t, small), "TIFF packed": packed.Bytes(), "JPEG": phone,
	} {
		f := formatOf(file)
		header, err := f.config(bytes.NewReader(file))
		require.NoError(t, err)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err = f.decode(bytes.NewReader(file))
		runtime.ReadMemStats(&after)
		require.NoError(t, err, name)
		const aside = 0.5e6 // tables and buffers of the decoders, whatever the size
		took := float64(after.TotalAlloc - before.TotalAlloc)
		assert.Greater(t, f.need(file, header)+aside, took, name)
		assert.Less(t, f.need(file, header), 2.5*took, name)
	}
}
