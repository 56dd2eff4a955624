package picture

import (
	"bytes"
	"encoding/binary"
)

// tiffBlock is a TIFF structure: a TIFF file, or the EXIF block of another file
// (TIFF 6.0, section 2; CIPA DC-008-2019, 4.5).
type tiffBlock struct {
	data  []byte
	order binary.ByteOrder
}

// Tags of directories (TIFF 6.0, section 8; CIPA DC-008-2019, 4.6.3 and 4.6.4;
// ICC.1:2022, annex B.3).
const (
	tagInteroperability   = 0x0001
	tagOrientation        = 0x0112
	tagProfile            = 0x8773
	tagExifDirectory      = 0x8769
	tagUserComment        = 0x9286
	tagInteropDirectory   = 0xa005
	optionalInteropSpace  = "R03" // DCF 2.0, 3.3.5: the optional colour space
	tiffShort, tiffLong   = 3, 4
	tiffASCII, tiffOpaque = 2, 7
)

// entry is one entry of a directory: its type and the bytes of its values.
type entry struct {
	kind  uint16
	value []byte
}

func tiffBlockOf(data []byte) (tiffBlock, bool) {
	t := tiffBlock{data: data}
	switch {
	case bytes.HasPrefix(data, []byte("II*\x00")):
		t.order = binary.LittleEndian
	case bytes.HasPrefix(data, []byte("MM\x00*")):
		t.order = binary.BigEndian
	}
	return t, t.order != nil && len(data) >= 8
}

// first returns the first directory.
func (t tiffBlock) first() map[uint16]entry { return t.directory(t.order.Uint32(t.data[4:])) }

// directory returns the entries of a directory by tag, those of use here.
func (t tiffBlock) directory(at uint32) map[uint16]entry {
	start := uint64(at)
	if start+2 > uint64(len(t.data)) {
		return nil
	}
	const entryBytes = 12
	entries := map[uint16]entry{}
	rest := t.data[start+2:]
	for range t.order.Uint16(t.data[start:]) {
		if len(rest) < entryBytes {
			break
		}
		kind := t.order.Uint16(rest[2:])
		if value, ok := t.value(kind, rest); ok {
			entries[t.order.Uint16(rest)] = entry{kind, value}
		}
		rest = rest[entryBytes:]
	}
	return entries
}

// value returns the bytes of an entry's values: in the entry itself when they
// are four or fewer, else where it points.
func (t tiffBlock) value(kind uint16, entry []byte) ([]byte, bool) {
	size := map[uint16]uint64{tiffASCII: 1, tiffShort: 2, tiffLong: 4, tiffOpaque: 1}[kind]
	n := size * uint64(t.order.Uint32(entry[4:]))
	if n <= 4 {
		return entry[8 : 8+n], n > 0
	}
	start := uint64(t.order.Uint32(entry[8:]))
	if start+n > uint64(len(t.data)) {
		return nil, false
	}
	return t.data[start : start+n], true
}

// orientation returns the tag Orientation, 1 when it is absent or out of range.
func (t tiffBlock) orientation() int {
	if v, ok := t.short(t.first()[tagOrientation]); ok && v >= 1 && v <= 8 {
		return v
	}
	return 1
}

// short returns the one number of an entry of that type.
func (t tiffBlock) short(e entry) (int, bool) {
	if e.kind != tiffShort || len(e.value) != 2 {
		return 0, false
	}
	return int(t.order.Uint16(e.value)), true
}

// below returns the directory that an entry points to.
func (t tiffBlock) below(directory map[uint16]entry, tag uint16) map[uint16]entry {
	if e := directory[tag]; e.kind == tiffLong && len(e.value) == 4 {
		return t.directory(t.order.Uint32(e.value))
	}
	return nil
}

// readEXIF takes what an EXIF block says. Cameras set to Adobe RGB say so in the
// interoperability directory, often without a profile.
func (m *metadata) readEXIF(block []byte) {
	t, ok := tiffBlockOf(block)
	if !ok {
		return
	}
	m.orientation = t.orientation()
	exif := t.below(t.first(), tagExifDirectory)
	interop := t.below(exif, tagInteropDirectory)[tagInteroperability]
	if bytes.HasPrefix(interop.value, []byte(optionalInteropSpace)) {
		m.named(adobeRGB, nameAdobeRGB)
	}
	m.ofScreen = isScreenshot(exif[tagUserComment].value)
	m.readLit(t, exif)
	m.readMerged(t, exif)
}

// isScreenshot reports whether a user's comment is the one word that telephones and
// computers write into a copy of their screen (the tag is of CIPA DC-008-2019, 4.6.5,
// whose first eight bytes name the alphabet; the word is common practice, no source).
func isScreenshot(comment []byte) bool {
	text, ok := bytes.CutPrefix(comment, []byte("ASCII\x00\x00\x00"))
	return ok && string(bytes.TrimRight(text, "\x00 ")) == "Screenshot"
}
