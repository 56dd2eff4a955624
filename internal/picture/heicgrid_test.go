package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/picture/libheif"
)

// tiled is a rendered card of six tiles, turned a quarter: the tiles written by
// heif-enc (libheif), the grid round them by hand, as phones write it.
func tiled(t testing.TB) []byte {
	data, err := os.ReadFile(filepath.Join("testdata", "tiles.heic"))
	require.NoError(t, err)
	return data
}

func gridIn(t *testing.T, data []byte) (grid, bool) {
	file, ok := heifOf(data)
	require.True(t, ok)
	return gridOf(file)
}

// Row by row gives, pixel for pixel, what libheif makes of the whole file, which
// it turns by itself.
func TestTilesAreLaidAsByLibheif(t *testing.T) {
	data := tiled(t)
	g, ok := gridIn(t, data)
	require.True(t, ok)
	assert.Equal(t, []int{3, 2, 330, 250, 8}, []int{g.columns, g.rows, g.width, g.height, g.orientation})
	ours, err := decodeHEIC(bytes.NewReader(data))
	require.NoError(t, err)
	whole, err := libheif.Decode(data)
	require.NoError(t, err)
	require.Equal(t, image.Pt(250, 330), whole.Bounds().Size())
	for y := range 330 {
		for x := range 250 {
			sx, sy := stored(g.orientation, x, y, 330, 250)
			require.Equal(t, whole.At(x, y), ours.At(sx, sy), "at %d, %d", x, y)
		}
	}
	assert.Equal(t, 8, metadataOf(data).orientation)
}

// What does not fit together is left to the decoder or refused, and asks for no
// more memory than a picture may.
func TestTilesThatDoNotFit(t *testing.T) {
	data := tiled(t)
	size := binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16(nil, 330), 250)
	at := bytes.LastIndex(data, size)
	require.Positive(t, at)
	for name, other := range map[string][2]uint16{"taller than its tiles": {330, 257}, "more tiles than it takes": {330, 128}, "vast": {65535, 65535}} {
		changed := bytes.Clone(data)
		binary.BigEndian.PutUint16(changed[at:], other[0])
		binary.BigEndian.PutUint16(changed[at+2:], other[1])
		_, ok := gridIn(t, changed)
		assert.False(t, ok, name)
	}
	mirrored := bytes.Replace(data, []byte("irot\x01"), []byte("imir\x01"), 1)
	_, ok := gridIn(t, mirrored)
	assert.False(t, ok, "mirrored")
}
