package picture

import "golang.org/x/image/tiff"

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
