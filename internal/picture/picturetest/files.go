package picturetest

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"
)

// Encoded writes an image as JPEG of a quality, or as PNG for quality 0.
func Encoded(t testing.TB, img image.Image, quality int) []byte {
	var file bytes.Buffer
	if quality > 0 {
		require.NoError(t, jpeg.Encode(&file, img, &jpeg.Options{Quality: quality}))
	} else {
		require.NoError(t, png.Encode(&file, img))
	}
	return file.Bytes()
}

// StoredAs lays the scene out so that row 0 and column 0 lie on the sides that
// the standard's table names.
func StoredAs(upright *image.NRGBA, orientation int) *image.NRGBA {
	w, h := upright.Rect.Dx(), upright.Rect.Dy()
	// Where the stored pixel (row, column) comes from, in the words of the
	// table: the side of row 0, the side of column 0.
	from := map[int]func(row, column int) (x, y int){
		1: func(r, c int) (int, int) { return c, r },                 // top, left
		2: func(r, c int) (int, int) { return w - 1 - c, r },         // top, right
		3: func(r, c int) (int, int) { return w - 1 - c, h - 1 - r }, // bottom, right
		4: func(r, c int) (int, int) { return c, h - 1 - r },         // bottom, left
		5: func(r, c int) (int, int) { return r, c },                 // left, top
		6: func(r, c int) (int, int) { return w - 1 - r, c },         // right, top
		7: func(r, c int) (int, int) { return w - 1 - r, h - 1 - c }, // right, bottom
		8: func(r, c int) (int, int) { return r, h - 1 - c },         // left, bottom
	}[orientation]
	if orientation >= 5 {
		w, h = h, w
	}
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	if orientation >= 5 {
		w, h = h, w
	}
	for row := range out.Rect.Dy() {
		for column := range out.Rect.Dx() {
			x, y := from(row, column)
			out.SetNRGBA(column, row, upright.NRGBAAt(x, y))
		}
	}
	return out
}

// HugePNG is a header that promises 20000 x 10000 pixels.
func HugePNG() []byte {
	body := binary.BigEndian.AppendUint32(nil, 20000)
	body = binary.BigEndian.AppendUint32(body, 10000)
	return append([]byte("\x89PNG\r\n\x1a\n"), Chunk("IHDR", append(body, 8, 2, 0, 0, 0))...)
}
