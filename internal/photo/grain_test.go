package photo_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/photo"
	"setshade/internal/scene"
	"setshade/internal/wax"
)

// The grain of a wooden table is no noise of the camera, whichever way it runs
// (rendered; across in the first photograph, down in the second).
func TestRenderedCardOnAGrainedTable(t *testing.T) {
	t.Parallel()
	soy := scene.NewWax(scene.Soy)
	const seed = 1
	for _, turn := range []float64{0, 90} {
		for _, fills := range []float64{0.25, 0.4} {
			rows, want := ladders(scene.RandomShelf(soy, seed, 2))
			sheet := scene.Sheet{Shelf: scene.RandomShelf(soy, seed, 2), Card: scene.WhiteCard(), State: wax.SetState, Rows: rows}
			truth := sheet.Photograph(scene.Options{Seed: seed, RotationDegrees: turn, TiltDegrees: 8, Fills: fills})
			var file bytes.Buffer
			require.NoError(t, truth.WriteJPEG(&file, 90))
			drops := 0
			for _, n := range want.Rows {
				drops += n
			}
			r, err := photo.Read(file.Bytes(), photo.Expect{Drops: drops, Card: truth.Card})
			require.NoError(t, err, "turned by %v, filling %v", turn, fills)
			assert.Len(t, r.Drops, drops)
		}
	}
}
