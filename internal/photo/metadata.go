package photo

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
)

// metadata is what the file says about its picture beside the pixels.
//
// The segments are walked here, in a few lines, because both tags and the
// colour profile sit in the same walk; the maintained libraries for EXIF bring
// tens of megabytes of download, or the whole of a maker's tag tables, for the
// one number that is needed. Whatever is malformed is treated as absent: the
// decoder judges the file, not this walk.
type metadata struct {
	orientation int    // 1..8 of CIPA DC-008, 1 when absent
	profile     string // name of the embedded colour profile, "" when absent
	hasProfile  bool
	// chromaStep is the quantisation step of the mean of a block's chroma in
	// code values, 0 when the file is no JPEG.
	chromaStep float64
}

func metadataOf(data []byte) metadata {
	m := metadata{orientation: 1}
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8")):
		m.readJPEG(data[2:])
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		m.readPNG(data[8:])
	}
	return m
}

// readJPEG walks the marker segments up to the start of scan (ITU-T T.81
// annex B).
func (m *metadata) readJPEG(data []byte) {
	const app1, app2, quantisation, startOfScan = 0xe1, 0xe2, 0xdb, 0xda
	for len(data) >= 4 && data[0] == 0xff {
		marker, size := data[1], int(binary.BigEndian.Uint16(data[2:]))
		if marker == 0xff { // fill byte
			data = data[1:]
			continue
		}
		if marker == startOfScan || size < 2 || 2+size > len(data) {
			return
		}
		body := data[4 : 2+size]
		if exif, ok := bytes.CutPrefix(body, []byte("Exif\x00\x00")); ok && marker == app1 {
			m.orientation = orientationOf(exif)
		}
		// ICC.1:2022 annex B.4; two bytes number the chunk, and the first
		// chunk holds the tag table and, in practice, the name.
		if icc, ok := bytes.CutPrefix(body, []byte("ICC_PROFILE\x00")); ok && marker == app2 && len(icc) > 2 && icc[0] == 1 {
			m.hasProfile, m.profile = true, profileName(icc[2:])
		}
		if marker == quantisation {
			m.readQuantisation(body)
		}
		data = data[2+size:]
	}
}

// readQuantisation takes the first element of table 1, which files use for
// chroma: the DC coefficient is eight times the mean of its block (ITU-T T.81,
// B.2.4.1 and A.3.3).
func (m *metadata) readQuantisation(tables []byte) {
	for len(tables) >= 3 {
		wide, id := int(tables[0]>>4), tables[0]&15
		if id == 1 && wide == 0 {
			m.chromaStep = float64(tables[1]) / 8
		}
		if id == 1 && wide == 1 {
			m.chromaStep = float64(binary.BigEndian.Uint16(tables[1:])) / 8
		}
		tables = tables[min(len(tables), 1+64*(1+wide)):]
	}
}

// readPNG walks the chunks up to the image data (PNG, third edition, 5.3).
func (m *metadata) readPNG(data []byte) {
	for len(data) >= 12 {
		size, kind := uint64(binary.BigEndian.Uint32(data)), string(data[4:8])
		if kind == "IDAT" || 12+size > uint64(len(data)) {
			return
		}
		body := data[8 : 8+size]
		switch kind {
		case "eXIf":
			m.orientation = orientationOf(body)
		case "sRGB":
			m.hasProfile, m.profile = true, "sRGB"
		case "iCCP":
			name, _, _ := bytes.Cut(body, []byte{0})
			m.hasProfile, m.profile = true, string(name)
		}
		data = data[12+size:]
	}
}

// orientationOf returns tag 0x0112 of the first directory of an EXIF block
// (CIPA DC-008, 4.6.4), 1 when it is absent or out of range.
func orientationOf(tiff []byte) int {
	const tagOrientation, typeShort, entryBytes = 0x0112, 3, 12
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(tiff, []byte("II")) {
		order = binary.LittleEndian
	}
	if len(tiff) < 8 {
		return 1
	}
	start := uint64(order.Uint32(tiff[4:]))
	if start+2 > uint64(len(tiff)) {
		return 1
	}
	directory := tiff[start:]
	entries := int(order.Uint16(directory))
	for i := range entries {
		at := 2 + i*entryBytes
		if at+entryBytes > len(directory) {
			break
		}
		entry := directory[at:]
		if order.Uint16(entry) == tagOrientation && order.Uint16(entry[2:]) == typeShort {
			if v := int(order.Uint16(entry[8:])); v >= 1 && v <= 8 {
				return v
			}
		}
	}
	return 1
}

// profileName returns the description of an ICC profile ('desc' tag, ICC.1:2001
// 6.4.32 textDescriptionType or ICC.1:2022 10.15 multiLocalizedUnicodeType),
// "" when it can't be found.
func profileName(icc []byte) string {
	const header = 128
	if len(icc) < header+4 {
		return ""
	}
	table := icc[header+4:]
	for i := uint32(0); i < min(binary.BigEndian.Uint32(icc[header:]), 100); i++ {
		if len(table) < 12 {
			break
		}
		offset, size := uint64(binary.BigEndian.Uint32(table[4:])), uint64(binary.BigEndian.Uint32(table[8:]))
		if string(table[:4]) == "desc" && offset+size <= uint64(len(icc)) {
			return description(icc[offset : offset+size])
		}
		table = table[12:]
	}
	return ""
}

func description(tag []byte) string {
	switch {
	case len(tag) >= 12 && string(tag[:4]) == "desc":
		n := uint64(binary.BigEndian.Uint32(tag[8:]))
		return strings.TrimRight(string(tag[12:min(12+n, uint64(len(tag)))]), "\x00")
	case len(tag) >= 28 && string(tag[:4]) == "mluc":
		n, at := uint64(binary.BigEndian.Uint32(tag[20:])), uint64(binary.BigEndian.Uint32(tag[24:]))
		if at+n > uint64(len(tag)) {
			return ""
		}
		units := make([]uint16, n/2)
		for i := range units {
			units[i] = binary.BigEndian.Uint16(tag[at+2*uint64(i):])
		}
		return string(utf16.Decode(units))
	}
	return ""
}

// note says in plain words how the colours of the file were taken.
func (m metadata) note() string {
	switch {
	case !m.hasProfile:
		return "no colour profile in the file: sRGB assumed"
	case strings.Contains(m.profile, "sRGB"):
		return ""
	case m.profile == "":
		return "the file's colour profile has no name: read as sRGB, strong colours may come out duller"
	}
	return "the file's colour profile is " + m.profile + ", read as sRGB: strong colours may come out duller"
}
