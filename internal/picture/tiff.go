package picture

import (
	"image"

	"golang.org/x/image/tiff"
)

// tiffFormat is TIFF 6.0 as far as the decoder goes: red, green and blue in 8
// or 16 bits, plain or packed by LZW, Deflate or PackBits. The decoder holds what
// a block unpacks to within what its pixels need.
var tiffFormat = format{
	matches: func(data []byte) bool {
		_, ok := tiffBlockOf(data)
		return ok
	},
	config:   tiff.DecodeConfig,
	decode:   tiff.Decode,
	need:     needOfTIFF,
	describe: (*metadata).readTIFF,
}

// readTIFF reads the first directory, that of the picture.
func (m *metadata) readTIFF(data []byte) {
	m.readEXIF(data)
	block, _ := tiffBlockOf(data)
	if e, ok := block.first()[tagProfile]; ok {
		m.profile = e.value
	}
}

// needOfTIFF counts, beside the pixels, the largest block, which is unpacked whole
// into a buffer that is doubled as it grows, so that up to three times its bytes are
// held; the decoder lets a block have 8 bytes a pixel. Blocks that are not packed take no more than the file.
func needOfTIFF(data []byte, header image.Config) float64 {
	const packing, rows, tileWidth, tileLength = 0x0103, 0x0116, 0x0142, 0x0143
	block, _ := tiffBlockOf(data)
	first := block.first()
	number := func(tag uint16, otherwise int) float64 {
		switch e := first[tag]; {
		case e.kind == tiffShort && len(e.value) >= 2:
			return float64(block.order.Uint16(e.value))
		case e.kind == tiffLong && len(e.value) >= 4:
			return float64(block.order.Uint32(e.value))
		}
		return float64(otherwise)
	}
	if number(packing, 1) <= 1 {
		return pixelBytes(header) + float64(len(data))
	}
	strip := number(tileWidth, header.Width) * number(tileLength, int(min(number(rows, header.Height), float64(header.Height))))
	return pixelBytes(header) + 3*8*strip
}
