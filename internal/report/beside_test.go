package report

import (
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"

	"setshade/internal/spectrum"
)

// Each patch is predicted left of its middle and measured right of it, edge to
// edge, on the grey.
func TestBesideShowsWhatItIsGiven(t *testing.T) {
	predicted, measured := spectrum.Lab{L: 60, A: 20, B: 10}, spectrum.Lab{L: 40, A: -10, B: -20}
	pair := Pair{Predicted: predicted, Measured: measured, Lines: []string{"7  Bracken 1", "dE00 0.4"}}
	pairs := []Pair{pair, pair, pair, pair, pair, pair}
	picture := Beside("Harrow Soy", PairGroup{Title: "None"}, PairGroup{Title: "Check drops", Pairs: pairs})

	left, right := rgba(predicted), rgba(measured)
	count := map[color.Color]int{}
	box := picture.Bounds()
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			count[picture.At(x, y)]++
			if picture.At(x, y) == right && picture.At(x-1, y) != right {
				require.Equal(t, left, picture.At(x-1, y), "the halves touch")
			}
		}
	}
	half := len(pairs) * pairHigh * pairWide / 2
	assert.Equal(t, half, count[left])
	assert.Equal(t, half, count[right])
	assert.Greater(t, count[surround], box.Dx()*box.Dy()/3)
	assert.Equal(t, surround, picture.At(box.Max.X-1, box.Max.Y-1))
}

func rgba(c spectrum.Lab) color.Color {
	d := c.Display()
	return color.RGBA{d.R, d.G, d.B, 255}
}

// L* 50 is sRGB 119 (IEC 61966-2-1 and CIE 15:2004, equation 8.3, by hand:
// Y = ((50 + 16) / 116)³ = 0.1842, encoded 0.4663, times 255 is 118.9).
func TestSurroundIsMidGrey(t *testing.T) {
	assert.Equal(t, surround, rgba(spectrum.Lab{L: 50}))
}

// A label stays under its patch: a long mixture is broken after a plus sign.
func TestLabelsAreBrokenToTheirPatch(t *testing.T) {
	b := newBeside(nil)
	lines := b.broken("1234  Marigold Lane 1.25 + Slate Hill 0.125 + Tidewater 0.175 + Sorrel 2")
	require.Greater(t, len(lines), 1)
	for _, l := range lines {
		assert.LessOrEqual(t, font.MeasureString(b.regular, l).Ceil(), pairWide, l)
	}
	assert.Len(t, b.broken("12  Marigold Lane 1.5"), 1)
}

// A colour beyond a screen is said to be one, and never passed off as shown.
func TestLabelSaysWhatAScreenCannotShow(t *testing.T) {
	b := newBeside(nil)
	vivid := spectrum.Lab{L: 60, A: -90, B: 70}
	require.True(t, vivid.Display().Clipped)
	assert.Contains(t, b.label(Pair{Predicted: vivid, Measured: spectrum.Lab{L: 50}}), "stronger than a screen shows")
	assert.Empty(t, b.label(Pair{Predicted: spectrum.Lab{L: 50}, Measured: spectrum.Lab{L: 50}}))
}
