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

// petal is a dried bit of flower on a drop, a flat oval of one colour: place, half
// length and half width in radii of the drop, lying at an angle.
type petal struct {
	x, y, long, wide, angle float64
	colour                  spectrum.Lab
}

// strewn lays petals on a rendered drop, in the light on it, as noisy as the rest.
func strewn(img *image.RGBA, d scene.Truth, p petal, light float64, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 11))
	lit := linearOf(p.colour)
	sin, cos := math.Sincos(p.angle)
	reach := int(1.2 * d.RadiusPx)
	for y := int(d.CentrePx.Y) - reach; y <= int(d.CentrePx.Y)+reach; y++ {
		for x := int(d.CentrePx.X) - reach; x <= int(d.CentrePx.X)+reach; x++ {
			fx, fy := (float64(x)+0.5-d.CentrePx.X)/d.RadiusPx-p.x, (float64(y)+0.5-d.CentrePx.Y)/d.RadiusPx-p.y
			off := math.Hypot((fx*cos+fy*sin)/p.long, (fy*cos-fx*sin)/p.wide)
			cover := min(max((1-off)*p.wide*d.RadiusPx+0.5, 0), 1)
			if cover == 0 {
				continue
			}
			grain := 1 + 0.02*r.NormFloat64()
			old := img.RGBAAt(x, y)
			var code [3]uint8
			for c, v := range [3]uint8{old.R, old.G, old.B} {
				mixed := cover*lit[c]*light*grain + (1-cover)*float64(lightOfCode[v])
				code[c] = uint8(min(max(codeOf(mixed)+0.5, 0), 255))
			}
			img.SetRGBA(x, y, color.RGBA{code[0], code[1], code[2], 255})
		}
	}
}

// A petal on every third drop, up to a quarter of what is read of it, is left out and
// said; a larger one is, or the drop is refused. None shifts the colours of its drop or
// of the others. (Rendered; petals, leaves and straw are invented colours.)
func TestPetalsOnDrops(t *testing.T) {
	t.Parallel()
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	sheet.Print = nil
	truth := sheet.Photograph(scene.Options{Seed: 2, WidthPx: 1000, HeightPx: 750, LightRatio: 1.1})
	want := Expect{Rows: []int{5, 5, 5}, Card: truth.Card}
	clean, err := Read(picturetest.Encoded(t, truth.Image, 92), want)
	require.NoError(t, err)
	for k, p := range []petal{
		{wide: 0.15, colour: spectrum.Lab{L: 38, A: 34, B: 14}},  // dried rose
		{wide: 0.20, colour: spectrum.Lab{L: 45, A: 14, B: -20}}, // lavender
		{wide: 0.25, colour: spectrum.Lab{L: 32, A: 12, B: 18}},  // brown: a quarter
		{wide: 0.22, colour: spectrum.Lab{L: 80, A: 2, B: 22}},   // straw
		{wide: 0.35, colour: spectrum.Lab{L: 45, A: -12, B: 26}}, // leaf: half
		{wide: 0.40, colour: spectrum.Lab{L: 68, A: 24, B: 62}},  // marigold: nearly all
	} {
		img := image.NewRGBA(truth.Image.Rect)
		copy(img.Pix, truth.Image.Pix)
		for i := k % 3; i < len(truth.Drops); i += 3 {
			p.long, p.angle = 1.2*p.wide, float64(i)
			sin, cos := math.Sincos(2 * p.angle)
			off := 0.3 * math.Mod(0.37*p.angle, 1)
			p.x, p.y = off*cos, off*sin
			strewn(img, truth.Drops[i], p, 0.85, uint64(i))
		}
		r, err := Read(picturetest.Encoded(t, img, 92), want)
		if p.wide > 0.3 {
			require.Error(t, err, "%+v", p)
			continue
		}
		require.NoError(t, err, "%+v", p)
		for i, d := range r.Drops {
			off, bound := spectrum.DE00(d.Colour.Lab, clean.Drops[i].Colour.Lab), 1.0
			if i%3 == k%3 {
				bound = 1.8 // half of its middle is continued from the other half
				assert.Greater(t, d.Rejected.Foreign, clean.Drops[i].Rejected.Foreign+0.01)
			}
			assert.Less(t, off, bound, "%+v, drop %d", p, d.Number)
			if i%3 == k%3 && p.wide > 0.15 {
				assert.Regexp(t, "another colour|dark specks|highlight", d.Notes, "%+v, drop %d", p, d.Number)
			}
		}
	}
}

// Something of another hue over all of a drop's middle, or more, is refused by what lies
// around it, and something dark of the drop's own hue is told: it is not said to be a
// highlight. What other drops read does not hang on it. (Rendered; marigold and bark are
// invented colours.)
func TestRenderedPetalOverAllOfTheMiddle(t *testing.T) {
	t.Skip("owed: a petal over all that is read, 0.6 of the radius, is taken for the wax")
	t.Parallel()
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	truth := sheet.Photograph(scene.Options{Seed: 2, WidthPx: 1000, HeightPx: 750, LightRatio: 1.1})
	want := Expect{Rows: []int{5, 5, 5}, Card: truth.Card}
	clean, err := Read(picturetest.Encoded(t, truth.Image, 92), want)
	require.NoError(t, err)
	for _, d := range clean.Drops {
		assert.NotContains(t, fmt.Sprint(d.Notes), "another colour", "drop %d", d.Number)
	}
	const at = 7 // in card order from 0: a pink one
	marigold, bark, own := spectrum.Lab{L: 75, A: 5, B: 70}, spectrum.Lab{L: 27, A: 13, B: 22}, truth.Drops[at].Lab
	own.L -= 15
	for _, p := range []petal{
		{wide: 0.48, colour: marigold}, {wide: 0.58, colour: marigold}, {wide: 0.74, colour: marigold},
		{wide: 0.42, colour: bark}, {wide: 0.48, colour: bark},
		{wide: 0.48, colour: own}, {wide: 0.58, colour: own},
	} {
		img := image.NewRGBA(truth.Image.Rect)
		copy(img.Pix, truth.Image.Pix)
		p.long = p.wide
		strewn(img, truth.Drops[at], p, 0.85, 1)
		r, err := Read(picturetest.Encoded(t, img, 92), want)
		if p.colour != own {
			assert.ErrorContains(t, err, "drop 9 shows too little of its wax beside something of another colour", "%+v", p)
		} else if assert.NoError(t, err, "%+v", p) {
			assert.Regexp(t, "its middle has another colour", r.Drops[at].Notes, "%+v", p)
			assert.NotRegexp(t, "highlight|specks|were left out", r.Drops[at].Notes, "%+v", p)
		}
		for i, d := range r.Drops {
			if i != at {
				assert.Less(t, spectrum.DE00(d.Colour.Lab, clean.Drops[i].Colour.Lab), 0.3, "%+v, drop %d", p, d.Number)
			}
		}
	}
}
