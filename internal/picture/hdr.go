package picture

import "bytes"

// gainMapMarks are what a file has in it that carries a gain map, by which a screen
// lightens parts of the picture: in the segments of a JPEG, in those of the second
// picture that a JPEG has behind its end (CIPA DC-007-2021), or in the boxes of a HEIC.
// They are too long to stand in coded pixels by chance, so the file is searched for
// them wherever they are. ISO 21496-1:2025 and the specifications of the owners of the
// other names; all from memory.
var gainMapMarks = [][]byte{
	[]byte("urn:iso:std:iso:ts:21496:-1"),
	[]byte("http://ns.adobe.com/hdr-gain-map/1.0/"),
	[]byte("http://ns.apple.com/HDRGainMap/1.0/"),
	[]byte("urn:com:apple:photo:2020:aux:hdrgainmap"),
}

// The transfer characteristics of pictures for screens brighter than white (ITU-T
// H.273, table 3): SMPTE ST 2084, and ARIB STD-B67.
const transferPQ, transferHLG = 16, 18

// The tag CustomRendered of EXIF (CIPA DC-008-2019, 4.6.5), and values beyond the
// standard's by which telephones tell a picture of several exposures (common practice,
// from memory).
const (
	tagCustomRendered            = 0xa401
	merged, mergedBesideOriginal = 2, 3
)

// readMerged takes what the directory of EXIF says of several exposures.
func (m *metadata) readMerged(t tiffBlock, exif map[uint16]entry) {
	if v, ok := t.short(exif[tagCustomRendered]); ok && (v == merged || v == mergedBesideOriginal) {
		m.hdr = true
	}
}

func hasGainMap(data []byte) bool {
	for _, mark := range gainMapMarks {
		if bytes.Contains(data, mark) {
			return true
		}
	}
	return false
}

// rangeNote says in plain words that a camera has made the picture for bright screens;
// "" when nothing in the file speaks for it. Such a picture is often put together from
// several exposures and made lighter and darker from place to place, so that its drops
// are no longer in the proportion of their light to the card's.
func (m *metadata) rangeNote() string {
	const off = "switch HDR (high dynamic range), and automatic scenes, off in the camera's settings and photograph the card again"
	switch {
	case m.brightScreen:
		return "the file is coded for bright screens (HDR) and its colours will be wrong: " + off
	case m.hdr:
		return "the camera made this picture in HDR, for bright screens or of several exposures, and may have lightened parts of it: " + off
	}
	return ""
}
