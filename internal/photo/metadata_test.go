package photo

import (
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/assert"
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

func orientationOf(exif []byte) int {
	m := metadata{orientation: 1}
	m.readEXIF(exif)
	return m.orientation
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
