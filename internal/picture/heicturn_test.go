package picture

import (
	"encoding/binary"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/picture/picturetest"
)

// turnedHEIC are the boxes of a HEIC whose main picture is item 7 and whose EXIF block,
// item 9 among the small items, tells an orientation of CIPA DC-008-2019, 4.6.4.
func turnedHEIC(exif int, properties ...[]byte) []byte {
	block := append([]byte("\x00\x00\x00\x06Exif\x00\x00"), picturetest.EXIF(binary.BigEndian, exif)...)
	entry := func(id byte, kind string) []byte {
		return isoBox("infe", []byte{2, 0, 0, 0, 0, id, 0, 0}, []byte(kind), []byte{0})
	}
	place := binary.BigEndian.AppendUint32([]byte{1, 0, 0, 0, 0x44, 0, 0, 1, 0, 9, 0, 1, 0, 0, 0, 1, 0, 0, 0, 0}, uint32(len(block)))
	properties = append([][]byte{ispe(660, 480)}, properties...)
	owned := []byte{0, 0, 0, 0, 0, 0, 0, 1, 0, 7, byte(len(properties))}
	for i := range properties {
		owned = append(owned, byte(i+1))
	}
	return append(isoBox("ftyp", []byte("heic\x00\x00\x00\x00mif1heic")),
		isoBox("meta", make([]byte, 4),
			isoBox("pitm", []byte{0, 0, 0, 0, 0, 7}),
			isoBox("iinf", []byte{0, 0, 0, 0, 0, 2}, entry(7, "hvc1"), entry(9, "Exif")),
			isoBox("iloc", place),
			isoBox("iprp", isoBox("ipco", properties...), isoBox("ipma", owned)),
			isoBox("idat", block))...)
}

// The file's own turn counts (ISO/IEC 23008-12, 6.5.10); EXIF that tells of another is
// noted. Its orientation 6 is a quarter to the right, three to the left.
func TestTurnsOfHEICThatDisagree(t *testing.T) {
	for _, c := range []struct {
		exif  int
		turn  []byte
		noted bool
	}{
		{1, nil, false},
		{6, nil, true},
		{6, isoBox("irot", []byte{3}), false},
		{6, isoBox("irot", []byte{1}), true},
		{1, isoBox("irot", []byte{3}), false}, // as phones leave it, once turned
		{3, isoBox("irot", []byte{2}), false},
		{9, nil, false},
	} {
		var properties [][]byte
		if c.turn != nil {
			properties = append(properties, c.turn)
		}
		m := metadataOf(turnedHEIC(c.exif, properties...))
		assert.Equal(t, c.noted, m.turnNote() != "", "EXIF %d, property %q", c.exif, c.turn)
		assert.Equal(t, 1, m.orientation, "the decoder turns it")
	}
	cut := turnedHEIC(6)
	for n := range cut {
		assert.NotPanics(t, func() { metadataOf(cut[:n]) })
	}
}

// A JPEG is turned by its EXIF, of which nothing is to be said.
func TestTurnOfJPEGIsNotNoted(t *testing.T) {
	m := metadataOf(picturetest.WithEXIF(picturetest.Encoded(t, image.NewGray(image.Rect(0, 0, 16, 16)), 90), 6))
	assert.Equal(t, 6, m.orientation)
	assert.Empty(t, m.turnNote())
}
