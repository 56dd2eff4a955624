package photo

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// The patches that took no part in the correction are named, each with its reason.
func TestPatchesLeftOutAreNamed(t *testing.T) {
	t.Parallel()
	truth := printedSheet(card.A5, sceneShelf, wax.SetState).Photograph(scene.Options{Seed: 4, WidthPx: 880, HeightPx: 660})
	want := Expect{Rows: []int{5, 5, 5}, Card: truth.Card, Reference: truth.Strip}
	left := func(img image.Image, want Expect) string {
		r, err := Read(picturetest.Encoded(t, img, 0), want)
		require.NoError(t, err)
		for _, note := range r.Notes {
			if strings.Contains(note, "left out of the correction") {
				return note
			}
		}
		return ""
	}
	assert.Empty(t, left(truth.Image, want))
	soiled := plainPixels(truth.Image)
	patch := card.Layout(card.A5).Strip[4].Rect
	a, b := truth.ToPicture.Map(scene.Point(patch.Min)), truth.ToPicture.Map(scene.Point(patch.Max))
	draw.Draw(soiled, image.Rect(int(a.X), int(a.Y), int(b.X)+1, int(b.Y)+1), image.NewUniform(color.RGBA{150, 90, 40, 255}), image.Point{}, draw.Src)
	assert.Contains(t, left(soiled, want), "patch 5 (far from what the other patches say")
	unknown := want
	unknown.Reference = append([]spectrum.Lab(nil), truth.Strip...)
	unknown.Reference[2].L, unknown.Reference[7].L = math.NaN(), math.NaN()
	assert.Contains(t, left(truth.Image, unknown), "patches 3 and 8 (without a colour given)")
	assert.Equal(t, "patches 1 and 2 (over-exposed), patch 9 (too dark in one channel)",
		leftOut(map[string][]int{patchDark: {9}, patchBright: {1, 2}}))
}
