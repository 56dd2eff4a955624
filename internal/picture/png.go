package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"image/png"
	"io"
)

// pngFormat is PNG, third edition (W3C).
var pngFormat = format{
	matches:  hasPrefix(pngSignature),
	config:   png.DecodeConfig,
	decode:   png.Decode,
	describe: (*metadata).readPNG,
}

const pngSignature = "\x89PNG\r\n\x1a\n"

// readPNG walks the chunks up to the image data (5.3). Of several words on
// colour cICP goes before iCCP, and that before sRGB (4.3).
func (m *metadata) readPNG(data []byte) {
	data = data[len(pngSignature):]
	var codePoints []byte
	for len(data) >= 12 {
		size, kind := uint64(binary.BigEndian.Uint32(data)), string(data[4:8])
		if kind == "IDAT" || 12+size > uint64(len(data)) {
			break
		}
		body := data[8 : 8+size]
		switch kind {
		case "eXIf":
			m.readEXIF(body)
		case "sRGB":
			m.named(SRGB, nameSRGB)
		case "iCCP":
			m.readPackedProfile(body)
		case "cICP":
			codePoints = body
		}
		data = data[12+size:]
	}
	if len(codePoints) == 4 && m.codePoints(int(codePoints[0]), int(codePoints[1])) {
		m.profile, m.torn = nil, false
	}
}

// readPackedProfile unpacks an iCCP chunk (11.3.2.3): a name, a zero, the method
// of compression, of which there is one, and the profile.
func (m *metadata) readPackedProfile(body []byte) {
	const most = 4 << 20
	m.torn = true
	_, packed, ok := bytes.Cut(body, []byte{0})
	if !ok || len(packed) < 1 || packed[0] != 0 {
		return
	}
	reader, err := zlib.NewReader(bytes.NewReader(packed[1:]))
	if err != nil {
		return
	}
	profile, err := io.ReadAll(io.LimitReader(reader, most))
	if err != nil {
		return
	}
	m.profile, m.torn = profile, false
}
