package cli

import (
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReadFileStopsAtItsLimit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "card.jpg")
	require.NoError(t, os.WriteFile(path, make([]byte, 1024), 0o600))
	bytes, err := readFile("photograph", path, 1024)
	require.NoError(t, err)
	assert.Len(t, bytes, 1024)
	_, err = readFile("photograph", path, 1023)
	assert.ErrorContains(t, err, "has more than the 0 KB read here")

	// A file of a terabyte with nothing in it is not read into memory.
	require.NoError(t, os.Truncate(path, 1<<40))
	_, err = readFile("photograph", path, 1<<20)
	assert.ErrorContains(t, err, "has more than the 1 MB read here")
}

// A file takes the place of an older one when it is complete; one that fails
// leaves the older one, and nothing beside it.
func TestFilesAreWrittenWholeOrNotAtAll(t *testing.T) {
	writePNG := func(path string, picture image.Image) error { return writeWhole("picture", path, asPNG(picture)) }
	folder := t.TempDir()
	path := filepath.Join(folder, "beside.png")
	require.NoError(t, writePNG(path, image.NewGray(image.Rect(0, 0, 3, 2))))

	// A PNG cannot be 0 pixels wide (PNG specification, 11.2.1).
	err := writePNG(path, image.NewGray(image.Rectangle{}))
	assert.ErrorContains(t, err, "beside.png cannot be written")

	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	old, err := png.DecodeConfig(f)
	require.NoError(t, err)
	assert.Equal(t, 3, old.Width)
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, entries, 1)

	assert.EqualError(t, writePNG("", image.NewGray(image.Rect(0, 0, 1, 1))), "the file of the picture has no name; give it one")
	require.Error(t, writePNG(filepath.Join(folder, "nowhere", "beside.png"), image.NewGray(image.Rect(0, 0, 1, 1))))
}
