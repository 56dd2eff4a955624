package picture

import (
	"encoding/binary"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/picture/picturetest"
)

func TestOrientationTag(t *testing.T) {
	for orientation := 1; orientation <= 8; orientation++ {
		assert.Equal(t, orientation, orientationOf(picturetest.EXIF(binary.BigEndian, orientation)))
		assert.Equal(t, orientation, orientationOf(picturetest.EXIF(binary.LittleEndian, orientation)))
	}
	// Reserved values and broken blocks count as absent.
	assert.Equal(t, 1, orientationOf(picturetest.EXIF(binary.BigEndian, 9)))
	block := picturetest.EXIF(binary.BigEndian, 6)
	for n := range block[:19] {
		assert.Equal(t, 1, orientationOf(block[:n]))
	}
}

func orientationOf(exif []byte) int {
	m := metadata{orientation: 1}
	m.readEXIF(exif)
	return m.orientation
}

// The tables of annex K begin with 16 for luma and 17 for chroma (ITU-T T.81, tables
// K.1 and K.2), which at quality 50 stand unchanged; the mean of a block then moves in
// steps of an eighth of that.
func TestStepsOfBlocks(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 16, 16))
	assert.Equal(t, [2]float64{17.0 / 8, 17.0 / 8}, metadataOf(picturetest.Encoded(t, img, 50)).chromaSteps)
	assert.Equal(t, 16.0/8, metadataOf(picturetest.Encoded(t, img, 50)).lumaStep)
	assert.Zero(t, metadataOf(picturetest.Encoded(t, img, 0)).lumaStep)
	assert.Zero(t, metadataOf(picturetest.Encoded(t, img, 0)).chromaSteps)
}
