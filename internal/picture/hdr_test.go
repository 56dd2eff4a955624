package picture

import (
	"encoding/binary"
	"image"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/picture/picturetest"
)

// xmp is a packet of XMP in a segment of a JPEG (ISO 16684-1; XMP part 3, 1.1.3).
func xmp(namespace string) []byte {
	return picturetest.Segment(0xe1, []byte("http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:Description xmlns:h=\""+namespace+"\" h:Version=\"1.0\"/></x:xmpmeta>"))
}

// withSecond puts a second picture behind a JPEG and tells of it in the index of CIPA
// DC-007-2021, 5.2: a directory of the number of pictures and of their sizes and places.
func withSecond(first, second []byte) []byte {
	index := []byte("MPF\x00II*\x00\x08\x00\x00\x00")
	entry := func(tag, kind uint16, count, value uint32) {
		index = binary.LittleEndian.AppendUint16(index, tag)
		index = binary.LittleEndian.AppendUint16(index, kind)
		index = binary.LittleEndian.AppendUint32(index, count)
		index = binary.LittleEndian.AppendUint32(index, value)
	}
	index = binary.LittleEndian.AppendUint16(index, 2)
	entry(0xb001, 4, 1, 2)
	entry(0xb002, 7, 32, 38)
	index = binary.LittleEndian.AppendUint32(index, 0)
	length := len(first) + 4 + len(index) + 32
	for _, v := range []int{0x20030000, length, 0, 0, 0, len(second), length - 10, 0} { // places count from the mark II
		index = binary.LittleEndian.AppendUint32(index, uint32(v))
	}
	return slices.Concat(first[:2], picturetest.Segment(0xe2, index), first[2:], second)
}

func TestHDRMarksAreNoted(t *testing.T) {
	plain := picturetest.Encoded(t, image.NewNRGBA(image.Rect(0, 0, 240, 240)), 90)
	inside := func(segment []byte) []byte { return slices.Concat(plain[:2], segment, plain[2:]) }
	small := picturetest.Encoded(t, image.NewGray(image.Rect(0, 0, 16, 16)), 90)
	const adobe, apple = "http://ns.adobe.com/hdr-gain-map/1.0/", "http://ns.apple.com/HDRGainMap/1.0/"
	merged := func(value byte) []byte {
		block := slices.Concat([]byte("MM\x00*\x00\x00\x00\x08\x00\x01"), []byte{0x87, 0x69, 0, 4, 0, 0, 0, 1, 0, 0, 0, 26}, make([]byte, 4),
			[]byte{0, 1, 0xa4, 0x01, 0, 3, 0, 0, 0, 1, 0, value, 0, 0}, make([]byte, 4))
		return inside(picturetest.Segment(0xe1, append([]byte("Exif\x00\x00"), block...)))
	}
	for _, c := range []struct {
		name  string
		file  []byte
		noted bool
	}{
		{"plain", plain, false},
		{"XMP of something else", inside(xmp("http://ns.adobe.com/camera-raw-settings/1.0/")), false},
		{"a second picture, as a large preview is", withSecond(plain, small), false},
		{"gain map told in the first picture", withSecond(inside(xmp(adobe)), small), true},
		{"gain map told in the second alone", withSecond(plain, slices.Concat(small[:2], xmp(adobe), small[2:])), true},
		{"the same, of another maker", withSecond(plain, slices.Concat(small[:2], xmp(apple), small[2:])), true},
		{"ISO 21496-1", withSecond(inside(picturetest.Segment(0xe2, []byte("urn:iso:std:iso:ts:21496:-1\x00\x00\x00\x00\x00"))), small), true},
		{"EXIF of an edited picture", merged(1), false},
		{"EXIF of several exposures", merged(3), true},
	} {
		_, err := decode(c.file)
		require.NoError(t, err, c.name)
		m := metadataOf(c.file)
		assert.Equal(t, c.noted, m.rangeNote() != "", c.name)
	}
	f, err := Open(inside(xmp(adobe)))
	require.NoError(t, err)
	assert.Contains(t, f.Note, "switch HDR (high dynamic range)")
	assert.Contains(t, f.Note, "; no colour profile in the file", "the other notes stay")
}

// Auxiliary pictures of a HEIC are named by a property (ISO/IEC 23008-12, 6.5.8).
func TestHDRMarksOfHEICAreNoted(t *testing.T) {
	auxiliary := func(urn string) []byte { return isoBox("auxC", []byte{0, 0, 0, 0}, []byte(urn+"\x00")) }
	for _, c := range []struct {
		property []byte
		says     string
	}{
		{auxiliary("urn:mpeg:hevc:2015:auxid:2"), ""}, // depth
		{auxiliary("urn:com:apple:photo:2020:aux:hdrgainmap"), "made this picture in HDR"},
		{auxiliary("urn:iso:std:iso:ts:21496:-1"), "made this picture in HDR"},
		{nclx(9, 16, 9, true), "coded for bright screens"},
		{nclx(9, 18, 9, true), "coded for bright screens"},
		{nclx(12, 13, 6, true), ""},
	} {
		m := metadataOf(turnedHEIC(1, c.property))
		if c.says == "" {
			assert.Empty(t, m.rangeNote(), "%q", c.property)
		} else {
			assert.Contains(t, m.rangeNote(), c.says, "%q", c.property)
		}
	}
	m := metadataOf(slices.Concat([]byte(pngSignature), picturetest.Chunk("cICP", []byte{9, 16, 0, 1}), picturetest.Chunk("IDAT", nil)))
	assert.Contains(t, m.rangeNote(), "coded for bright screens")
}
