package photo

import (
	"encoding/binary"
	"os"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOrientationTag(t *testing.T) {
	for orientation := 1; orientation <= 8; orientation++ {
		assert.Equal(t, orientation, orientationOf(exifBlock(binary.BigEndian, orientation)))
		assert.Equal(t, orientation, orientationOf(exifBlock(binary.LittleEndian, orientation)))
	}
	// Reserved values and broken blocks count as absent.
	assert.Equal(t, 1, orientationOf(exifBlock(binary.BigEndian, 9)))
	block := exifBlock(binary.BigEndian, 6)
	for n := range block[:19] {
		assert.Equal(t, 1, orientationOf(block[:n]))
	}
}

// profileOf builds the least of an ICC profile: header, one tag, description.
func profileOf(description []byte) []byte {
	icc := make([]byte, 128)
	icc = binary.BigEndian.AppendUint32(icc, 1)
	icc = append(icc, "desc"...)
	icc = binary.BigEndian.AppendUint32(icc, 144)
	icc = binary.BigEndian.AppendUint32(icc, uint32(len(description)))
	return append(icc, description...)
}

func TestProfileNames(t *testing.T) {
	// ICC.1:2001-04, 6.5.17 textDescriptionType.
	old := append([]byte("desc\x00\x00\x00\x00\x00\x00\x00\x09"), "sRGB IEC\x00"...)
	assert.Equal(t, "sRGB IEC", profileName(profileOf(old)))
	// ICC.1:2022, 10.15 multiLocalizedUnicodeType.
	name := utf16.Encode([]rune("Display P3"))
	text := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
	text = binary.BigEndian.AppendUint32(text, uint32(2*len(name)))
	text = binary.BigEndian.AppendUint32(text, 28)
	for _, u := range name {
		text = binary.BigEndian.AppendUint16(text, u)
	}
	assert.Equal(t, "Display P3", profileName(profileOf(text)))

	c := smallCard()
	c.jpeg = 90
	file := c.file(t)
	icc := append([]byte("ICC_PROFILE\x00\x01\x01"), profileOf(text)...)
	r, err := Read(append(append(file[:2:2], segment(0xe2, icc)...), file[2:]...), plan)
	require.NoError(t, err)
	require.NotEmpty(t, r.Notes)
	assert.Contains(t, r.Notes[0], "Display P3")
}

// A photograph with a wide colour profile, from the wide-gamut test pictures
// listed with their source in the reference data.
func TestProfileOfARealPicture(t *testing.T) {
	const file = "../../../shared/refdata/photos/p3_and_srgb_ring.jpg"
	data, err := os.ReadFile(file)
	if os.IsNotExist(err) {
		t.Skip("the reference photographs are not here")
	}
	require.NoError(t, err)
	m := metadataOf(data)
	assert.True(t, m.hasProfile)
	assert.Contains(t, m.profile, "P3")
}

// The chroma table of annex K begins with 17 (ITU-T T.81, table K.2), which at
// quality 50 stands unchanged; the mean of a block then moves in steps of 17/8.
func TestChromaStep(t *testing.T) {
	c := smallCard()
	c.w, c.h, c.drops = 260, 200, nil
	c.jpeg = 50
	assert.Equal(t, 17.0/8, metadataOf(c.file(t)).chromaStep)
	c.jpeg = 0
	assert.Zero(t, metadataOf(c.file(t)).chromaStep)
}
