package photo

import (
	"fmt"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// bridged lays a round blob of wax of another colour, so many radii wide, some of the way
// from one rendered drop to another.
func bridged(t *testing.T, truth scene.Photo, from, to int, along, wide float64) []byte {
	img := image.NewRGBA(truth.Image.Rect)
	copy(img.Pix, truth.Image.Pix)
	blob, end := truth.Drops[from], truth.Drops[to].CentrePx
	blob.CentrePx.X += along * (end.X - blob.CentrePx.X)
	blob.CentrePx.Y += along * (end.Y - blob.CentrePx.Y)
	strewn(img, blob, petal{wide: wide, long: wide, colour: spectrum.Lab{L: 35, A: 35, B: -35}}, 0.85, 1)
	return picturetest.Encoded(t, img, 92)
}

// Wax that bridges two drops is left out on a printed card, and is no shadow on them; on a
// plain card it may be a drop, and the count is refused. (Rendered.)
func TestRenderedDropsThatRunIntoEachOther(t *testing.T) {
	t.Parallel()
	printed := printedSheet(card.A5, sceneShelf, wax.SetState)
	plain := printed
	plain.Print = nil
	options := scene.Options{Seed: 2, WidthPx: 1000, HeightPx: 750, LightRatio: 1.1}
	onPrint, onPlain := printed.Photograph(options), plain.Photograph(options)
	want := Expect{Rows: []int{5, 5, 5}, Card: onPrint.Card}
	for _, c := range []struct {
		from, to    int
		along, wide float64
	}{{0, 1, 0.55, 0.9}, {1, 2, 0.5, 0.6}, {1, 2, 0.55, 0.8}, {2, 3, 0.55, 0.5}} {
		r, err := Read(bridged(t, onPrint, c.from, c.to, c.along, c.wide), want)
		require.NoError(t, err, "%+v", c)
		assert.NotContains(t, fmt.Sprint(r.Notes), "shadow", "%+v", c)
		for i, d := range r.Drops {
			assert.Less(t, spectrum.DE00(d.Colour.Lab, onPrint.Drops[i].Middle), 1.2, "%+v, drop %d", c, d.Number)
		}
	}
	for _, c := range []struct {
		truth       scene.Photo
		from, to    int
		along, wide float64
	}{{onPlain, 1, 2, 0.5, 0.7}, {onPlain, 1, 2, 0.55, 0.8}, {onPlain, 2, 1, 0.55, 0.8}, {onPlain, 1, 0, 0.65, 0.9}, {onPrint, 11, 12, 0.5, 0.8}} {
		r, err := Read(bridged(t, c.truth, c.from, c.to, c.along, c.wide), want)
		if c.truth.Drops[0].CentrePx == onPlain.Drops[0].CentrePx {
			assert.ErrorContains(t, err, "16 drops were found, the plan has 15")
			continue
		}
		require.NoError(t, err)
		for i, d := range r.Drops {
			assert.Less(t, spectrum.DE00(d.Colour.Lab, c.truth.Drops[i].Middle), 1.6, "%+v, drop %d: %v", c, d.Number, d.Notes)
		}
	}
}
