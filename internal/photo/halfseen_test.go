package photo

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/wax"
)

// Any two of the four marks under thumbs, or out of the picture: it is a printed card
// all the same.
func TestRenderedTwoMarksOutOfSight(t *testing.T) {
	t.Parallel()
	for _, tilt := range []float64{0, 30} {
		truth := printedSheet(card.A5, sceneShelf, wax.SetState).Photograph(scene.Options{Seed: 4, WidthPx: 1000, HeightPx: 750, TiltDegrees: tilt, RotationDegrees: tilt})
		for _, hidden := range [][2]int{{0, 1}, {0, 2}, {1, 3}, {2, 3}, {0, 3}} {
			under := truth
			under.Image = covered(truth, hidden[0])
			under.Image = covered(under, hidden[1])
			_, err := Read(picturetest.Encoded(t, under.Image, 90), Expect{Rows: []int{5, 5, 5}, Card: truth.Card})
			assert.ErrorContains(t, err, "only two of its four marks are in the picture", fmt.Sprintf("%v hidden, tilted %g", hidden, tilt))
		}
	}
}
