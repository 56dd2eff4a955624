package photo_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/photo"
)

// A card with an edge nearly parallel to the rows of pixels is found on a smooth dark
// table. (Light transport by another program.)
func TestTracedCardNearlyParallelToTheRows(t *testing.T) {
	truth := truth3D(t)
	for _, name := range []string{"hider-mix-3--window-eye.jpg", "hider-mix-3--lamp-dslr.jpg"} {
		data, err := os.ReadFile(filepath.Join(drops3D, name))
		require.NoError(t, err)
		r, err := photo.Read(data, expect3D(t, name))
		require.NoError(t, err, name)
		require.Len(t, r.Drops, len(truth[name]))
	}
}
