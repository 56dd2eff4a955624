package picture

import (
	"errors"
	"image"

	"setshade/internal/picture/libheif"
)

// grid is a picture put together of equal tiles, row by row, the last ones cut
// off where the picture ends (ISO/IEC 23008-12:2022, 6.6.2.3). Phones write their
// large pictures so. Decoded as a whole, 48 megapixels take more than a gigabyte;
// row by row they take little more than their pixels.
type grid struct {
	columns, rows int
	width, height int
	// tiles are the items of file that are the tiles.
	file  heif
	tiles []uint32
	// orientation is how the picture is turned, as in CIPA DC-008.
	orientation int
}

// leastTilePx keeps a file from asking for millions of tiles; real ones have 64
// pixels a side at least (ISO/IEC 23000-22, 7.3.11.4.2, from memory).
const leastTilePx = 64

// gridOf reads how the main picture is put together; false when it is one piece,
// or put together in a way that is left to the decoder.
func gridOf(file heif) (g grid, ok bool) {
	if file.kinds[file.primary] != "grid" {
		return g, false
	}
	form := byteReader{data: file.content(file.primary)}
	form.uint(1) // version
	fieldBytes := 2
	if form.uint(1)&1 == 1 {
		fieldBytes = 4
	}
	g.rows, g.columns = int(form.uint(1))+1, int(form.uint(1))+1
	g.width, g.height = int(form.uint(fieldBytes)), int(form.uint(fieldBytes))
	g.file, g.tiles = file, file.parts[file.primary]
	if form.ended || len(g.tiles) != g.rows*g.columns || !g.fits(file.sizeOf(g.tiles[0])) {
		return g, false
	}
	if g.orientation, ok = file.turn(); !ok {
		return g, false
	}
	for _, tile := range g.tiles {
		if file.kinds[tile] != "hvc1" || file.sizeOf(tile) != file.sizeOf(g.tiles[0]) {
			return g, false
		}
	}
	return g, true
}

// fits reports whether tiles of a size cover the picture, and no more of them than
// it takes. Their sides are even, so that their chroma fits together.
func (g grid) fits(tile image.Point) bool {
	covers := func(n, side, whole int) bool { return n*side >= whole && (n-1)*side < whole }
	return min(tile.X, tile.Y) >= leastTilePx && tile.X%2 == 0 && tile.Y%2 == 0 &&
		max(tile.X, tile.Y) < 1<<16 && float64(g.width)*float64(g.height) <= maxMegapixels*1e6 &&
		covers(g.columns, tile.X, g.width) && covers(g.rows, tile.Y, g.height)
}

var errOddRow = errors.New("a row of the picture's tiles is unlike the others")

// decode decodes one row of tiles after the other into one picture.
func (g grid) decode() (image.Image, error) {
	var whole *image.YCbCr
	tile := g.file.sizeOf(g.tiles[0])
	for row := range g.rows {
		size := image.Pt(g.width, min(tile.Y, g.height-row*tile.Y))
		file := g.file.strip(g.tiles[row*g.columns:][:g.columns], size)
		strip, err := libheif.Decode(file)
		if err != nil {
			return nil, err
		}
		if strip.Rect.Size() != size || whole != nil && strip.SubsampleRatio != whole.SubsampleRatio {
			return nil, errOddRow
		}
		if whole == nil {
			whole = image.NewYCbCr(image.Rect(0, 0, g.width, g.height), strip.SubsampleRatio)
		}
		lay(whole, strip, row*tile.Y)
	}
	return whole, nil
}

// lay copies a row of tiles into the picture, from line y on.
func lay(whole, strip *image.YCbCr, y int) {
	for line := range strip.Rect.Dy() {
		copy(whole.Y[whole.YOffset(0, y+line):][:whole.YStride], strip.Y[strip.YOffset(0, line):])
		to, from := whole.COffset(0, y+line), strip.COffset(0, line)
		copy(whole.Cb[to:][:whole.CStride], strip.Cb[from:])
		copy(whole.Cr[to:][:whole.CStride], strip.Cr[from:])
	}
}
