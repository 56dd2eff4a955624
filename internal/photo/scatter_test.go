package photo

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// thing lies on the table: an oval or an oblong of one colour, in mm on the card's plane.
type thing struct {
	x, y, long, wide, angle float64
	oval                    bool
	colour                  spectrum.Lab
}

func (t *thing) covers(p scene.Point) bool {
	sin, cos := math.Sincos(t.angle)
	u, v := ((p.X-t.x)*cos+(p.Y-t.y)*sin)/t.long, ((p.Y-t.y)*cos-(p.X-t.x)*sin)/t.wide
	if t.oval {
		return u*u+v*v < 1
	}
	return max(math.Abs(u), math.Abs(v)) < 1
}

// littered lays things on the table of a rendered photograph; the card lies on them.
func littered(truth scene.Photo, things []thing) *image.RGBA {
	img := image.NewRGBA(truth.Image.Rect)
	copy(img.Pix, truth.Image.Pix)
	back, half := truth.ToPicture.Inverse(), truth.CardSizeMM
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			p := back.Map(scene.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			if max(math.Abs(p.X)/half.X, math.Abs(p.Y)/half.Y) < 0.5 {
				continue
			}
			for i := range things {
				if things[i].covers(p) {
					var code [3]uint8
					for c, v := range linearOf(things[i].colour) {
						code[c] = uint8(min(codeOf(0.85*v)+0.5, 255))
					}
					img.SetRGBA(x, y, color.RGBA{code[0], code[1], code[2], 255})
				}
			}
		}
	}
	return img
}

// Cups, spoons, boxes and pieces of wax around a card, white ones and black ones too,
// change nothing, printed or plain. (Rendered, the things drawn flat.)
func TestRenderedThingsAroundTheCard(t *testing.T) {
	t.Parallel()
	colours := []spectrum.Lab{{L: 93, B: 3}, {L: 15}, {L: 70}, {L: 45, A: 50, B: 30}, {L: 50, A: -30, B: 20}, {L: 80, A: 5, B: 60}, {L: 96}}
	for seed, printed := range []bool{true, false, true, false} {
		sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
		if !printed {
			sheet.Print = nil
		}
		truth := sheet.Photograph(scene.Options{Seed: uint64(seed), WidthPx: 1000, HeightPx: 750, Fills: 0.25, RotationDegrees: float64(14 * seed)})
		r := rand.New(rand.NewPCG(uint64(seed), 5))
		var things []thing
		for len(things) < 25 {
			a := thing{
				x: (2*r.Float64() - 1) * (truth.CardSizeMM.X/2 + 60), y: (2*r.Float64() - 1) * (truth.CardSizeMM.Y/2 + 50),
				long: 4 + 12*r.Float64(), angle: 3 * r.Float64(), oval: r.IntN(2) == 0, colour: colours[r.IntN(len(colours))],
			}
			a.wide = a.long * (0.3 + 0.7*r.Float64())
			if max(math.Abs(a.x)-truth.CardSizeMM.X/2, math.Abs(a.y)-truth.CardSizeMM.Y/2) > 1.5*a.long {
				things = append(things, a)
			}
		}
		got, err := Read(picturetest.Encoded(t, littered(truth, things), 92), Expect{Card: truth.Card})
		require.NoError(t, err)
		require.Len(t, got.Drops, len(truth.Drops), "printed: %v", printed)
		for i, d := range got.Drops {
			if !truth.Drops[i].Middle.Display().Clipped {
				assert.Less(t, spectrum.DE00(d.Colour.Lab, truth.Drops[i].Middle), 1.6, "seed %d, drop %d: %v, not %v", seed, d.Number, d.Colour.Lab, truth.Drops[i].Middle)
			}
		}
		assert.NotContains(t, fmt.Sprint(got.Notes), "against its edge")
	}
}

// A white plate that a plain card lies against becomes part of its outline, and is told of.
func TestPlateAgainstTheCard(t *testing.T) {
	t.Parallel()
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	sheet.Print = nil
	truth := sheet.Photograph(scene.Options{Seed: 1, WidthPx: 1000, HeightPx: 750, Fills: 0.25, RotationDegrees: 10})
	plate := thing{x: 40, y: -truth.CardSizeMM.Y/2 - 25, long: 30, wide: 26, oval: true, colour: spectrum.Lab{L: 96}}
	spoon := thing{x: 0, y: -truth.CardSizeMM.Y/2 - 12, long: 6, wide: 9, colour: spectrum.Lab{L: 35, A: 10, B: -40}}
	r, err := Read(picturetest.Encoded(t, littered(truth, []thing{plate, spoon}), 92), Expect{Rows: []int{5, 5, 5}, Card: truth.Card})
	said := ""
	if err != nil {
		said = err.Error()
	}
	for _, note := range r.Notes {
		said += note
	}
	assert.Contains(t, said, "something as bright as the card lies against its edge")
}
