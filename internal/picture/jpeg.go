package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"iter"
)

// jpegFormat is ITU-T T.81 in the wrapping of T.871 or EXIF.
var jpegFormat = format{
	matches:  hasPrefix("\xff\xd8"),
	config:   jpeg.DecodeConfig,
	decode:   jpeg.Decode,
	need:     needOfJPEG,
	describe: (*metadata).readJPEG,
	cut:      jpegCutShort,
}

// jpegCutShort reports whether the marker at the end lacks (EOI, ITU-T T.81 table
// B.1), for which the decoder has several words.
func jpegCutShort(data []byte) bool {
	return !bytes.HasSuffix(bytes.TrimRight(data, "\x00"), []byte("\xff\xd9"))
}

// Markers of frames (ITU-T T.81, table B.1).
const baseline, extended, progressive = 0xc0, 0xc1, 0xc2

// segments walks the marker segments up to the start of scan (ITU-T T.81 annex B).
func segments(data []byte) iter.Seq2[byte, []byte] {
	const startOfScan = 0xda
	return func(yield func(byte, []byte) bool) {
		data := data[2:]
		for len(data) >= 4 && data[0] == 0xff {
			marker, size := data[1], int(binary.BigEndian.Uint16(data[2:]))
			if marker == 0xff { // fill byte
				data = data[1:]
				continue
			}
			if marker == startOfScan || size < 2 || 2+size > len(data) || !yield(marker, data[4:2+size]) {
				return
			}
			data = data[2+size:]
		}
	}
}

// needOfJPEG counts the samples of each channel, a byte each. A progressive picture
// keeps the coefficients of all blocks until the last scan, four bytes each, and one of
// red, green and blue is written anew.
func needOfJPEG(data []byte, header image.Config) float64 {
	samples, each := 3.0, 5.0
	for marker, body := range segments(data) {
		if marker != baseline && marker != extended && marker != progressive {
			continue
		}
		if marker != progressive {
			each = 1
		}
		all, most := 0.0, 1.0
		for at := frameHead; at+frameComponent <= len(body); at += frameComponent {
			blocks := float64(body[at+1]>>4) * float64(body[at+1]&15)
			all, most = all+blocks, max(most, blocks)
		}
		samples = all / most
		break
	}
	need := samples * each * float64(header.Width) * float64(header.Height)
	if header.ColorModel == color.RGBAModel {
		need += pixelBytes(header)
	}
	return need
}

// readJPEG reads the segments.
func (m *metadata) readJPEG(data []byte) {
	const app1, app2, quantisation = 0xe1, 0xe2, 0xdb
	var profile profileChunks
	var steps quantisers
	for marker, body := range segments(data) {
		if exif, ok := bytes.CutPrefix(body, []byte("Exif\x00\x00")); ok && marker == app1 {
			m.readEXIF(exif)
		}
		if icc, ok := bytes.CutPrefix(body, []byte("ICC_PROFILE\x00")); ok && marker == app2 {
			profile.add(icc)
		}
		switch marker {
		case quantisation:
			steps.add(body)
		case baseline, extended, progressive:
			steps.readFrame(body)
		}
	}
	m.profile, m.torn = profile.whole()
	m.lumaStep, m.chromaSteps = steps.luma(), steps.chroma()
}

// profileChunks gathers a profile from the segments it is cut into; two bytes
// say which of how many a chunk is (ICC.1:2022, annex B.4).
type profileChunks struct {
	chunks [256][]byte
	count  int
	torn   bool
}

func (p *profileChunks) add(body []byte) {
	if len(body) < 2 || body[0] == 0 || body[0] > body[1] || p.count != 0 && p.count != int(body[1]) {
		p.torn = true
		return
	}
	p.count = int(body[1])
	p.chunks[body[0]] = body[2:]
}

func (p *profileChunks) whole() (profile []byte, torn bool) {
	for _, chunk := range p.chunks[1 : 1+p.count] {
		if chunk == nil {
			return nil, true
		}
		profile = append(profile, chunk...)
	}
	if p.torn {
		return nil, true
	}
	return profile, false
}

// quantisers are the steps of the mean of a block, in code values, by the number of
// the table, and the numbers of the tables that the components use.
type quantisers struct {
	step  [4]float64
	table []int
}

// add takes the first element of each table: the DC coefficient is eight times the
// mean of its block (ITU-T T.81, B.2.4.1 and A.3.3).
func (q *quantisers) add(tables []byte) {
	for len(tables) >= 3 {
		wide, id := int(tables[0]>>4), tables[0]&3
		q.step[id] = float64(tables[1]) / blockSide
		if wide == 1 {
			q.step[id] = float64(binary.BigEndian.Uint16(tables[1:])) / blockSide
		}
		tables = tables[min(len(tables), 1+64*(1+wide)):]
	}
}

// The bytes of a frame header before its components, and of each of them (ITU-T T.81,
// B.2.2).
const frameHead, frameComponent = 6, 3

// readFrame takes the tables of the components from a frame header.
func (q *quantisers) readFrame(header []byte) {
	q.table = nil
	for at := frameHead; at+frameComponent <= len(header); at += frameComponent {
		q.table = append(q.table, int(header[at+2]&3))
	}
}

// luma is the step of Y, which comes first, or of grey.
func (q *quantisers) luma() float64 {
	if len(q.table) == 0 {
		return 0
	}
	return q.step[q.table[0]]
}

// chroma are the steps of Cb and Cr, 0 of a picture that has none.
func (q *quantisers) chroma() (steps [2]float64) {
	if len(q.table) == 3 {
		steps[Cb], steps[Cr] = q.step[q.table[1]], q.step[q.table[2]]
	}
	return steps
}
