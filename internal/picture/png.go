package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"image"
	"image/png"
	"io"
	"math"
)

// pngFormat is PNG, third edition (W3C).
var pngFormat = format{
	matches:  hasPrefix(pngSignature),
	config:   png.DecodeConfig,
	decode:   png.Decode,
	need:     needOfPNG,
	describe: (*metadata).readPNG,
}

const pngSignature = "\x89PNG\r\n\x1a\n"

// needOfPNG counts an interlaced picture twice: its passes are pictures of their own,
// which are then put together (11.2.2, the last byte of IHDR).
func needOfPNG(data []byte, header image.Config) float64 {
	const interlace = len(pngSignature) + 8 + 12
	if len(data) > interlace && data[interlace] != 0 {
		return 2 * pixelBytes(header)
	}
	return pixelBytes(header)
}

// readPNG walks the chunks up to the image data (5.3). Of several words on
// colour cICP goes before iCCP, that before sRGB, and that before cHRM and gAMA (4.3).
func (m *metadata) readPNG(data []byte) {
	data = data[len(pngSignature):]
	var codePoints, primaries, gamma []byte
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
		case "cHRM":
			primaries = body
		case "gAMA":
			gamma = body
		}
		data = data[12+size:]
	}
	if m.space == nil {
		m.readChromaticities(primaries, gamma)
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

// readChromaticities takes the x and y of the white and of the three primaries from a
// cHRM chunk (11.3.2.1) and the exponent from a gAMA chunk (11.3.2.2), all times
// 100,000. The values that go along with sRGB (11.3.2.5) mean sRGB, as all files of
// that kind have them.
func (m *metadata) readChromaticities(primaries, gamma []byte) {
	const ofSRGB = "\x00\x00\x7a\x26\x00\x00\x80\x84\x00\x00\xfa\x00\x00\x00\x80\xe8\x00\x00\x75\x30\x00\x00\xea\x60\x00\x00\x3a\x98\x00\x00\x17\x70"
	const exponentOfSRGB = "\x00\x00\xb1\x8f"
	if len(primaries) != len(ofSRGB) || len(gamma) != len(exponentOfSRGB) {
		return
	}
	if string(primaries) == ofSRGB && string(gamma) == exponentOfSRGB {
		m.named(SRGB, nameSRGB)
		return
	}
	const unit = 100_000
	number := func(b []byte) float64 { return float64(binary.BigEndian.Uint32(b)) / unit }
	point := func(i int) chromaticity { return chromaticity{number(primaries[8*i:]), number(primaries[8*i+4:])} }
	exponent := number(gamma)
	white, lights := point(0), [Channels]chromaticity{point(1), point(2), point(3)}
	for _, p := range []chromaticity{white, lights[Red], lights[Green], lights[Blue]} {
		if !(p.x > 0 && p.y > 0 && p.x+p.y <= 1) {
			return
		}
	}
	const least, most = 1 / 3.0, 1.0
	if exponent < least || exponent > most {
		return
	}
	if space, ok := fromPrimaries(lights, white, func(v float64) float64 { return math.Pow(v, 1/exponent) }); ok {
		m.named(space, "those of primaries and an exponent")
	}
}
