package photo

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/picture/picturetest"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// glared lays a mirrored lamp on the middle of a drop: so much light of full scale,
// over so many of its radii.
func (c testCard) glared(img *image.NRGBA, d testDrop, wide, light float64) *image.NRGBA {
	centre := plane.SquareTo(c.corners()).Apply(plane.Point{X: d.u / testAspect, Y: d.v})
	radius := wide * d.radius * c.corners()[3].Minus(c.corners()[0]).Length()
	return everyPixel(img, func(fx, fy float64, l [3]float64) [3]float64 {
		off := (plane.Point{X: fx * float64(c.w), Y: fy * float64(c.h)}).Minus(centre).Length() / radius
		add := light * math.Exp(-math.Pow(off, 8))
		return [3]float64{l[0] + add, l[1] + add, l[2] + add}
	})
}

// Glare over the middle of a drop, or over all of it, is refused; a small one is left
// out and the wax beside it read.
func TestGlareOverADrop(t *testing.T) {
	t.Parallel()
	c := smallCard()
	c.exposure, c.light, c.highlight = 0.6, 1, 0.05
	img := c.render()
	for _, g := range []struct {
		drop        int
		wide, light float64
		says        string // "" where it is read
	}{
		{3, 0.5, 0.06, "drop 3 shows too little of its wax"},
		{7, 0.7, 0.06, "drop 7 shows too little of its wax"},
		{8, 0.5, 0.4, "drop 8 shows too little of its wax"},
		{3, 1, 0.4, "drop 3 is brighter than the bare card"},
		{6, 1, 0.4, "drop 6 is brighter than the bare card"},
		{1, 0.3, 0.06, ""},
		{7, 0.3, 0.06, ""},
	} {
		d := c.drops[g.drop-1]
		r, err := Read(picturetest.Encoded(t, c.glared(img, d, g.wide, g.light), 0), plan)
		if g.says != "" {
			assert.ErrorContains(t, err, g.says)
			assert.ErrorContains(t, err, "turn the card or move the lamp")
			continue
		}
		if assert.NoError(t, err, "%+v", g) {
			assert.Less(t, spectrum.DE00(r.Drops[g.drop-1].Colour.Lab, d.lab), 1.0)
			assert.Contains(t, r.Drops[g.drop-1].Notes[0], "highlight")
		}
	}
}

// White wax on a card darker than it is brighter than the card, and still wax.
func TestWaxWhiterThanItsCard(t *testing.T) {
	white := Drop{Colour: spectrum.Measured{Lab: spectrum.Lab{L: 93}}}
	brighter := domeReading{ratio: [channels]float64{1.1, 1.1, 1.1}}
	assert.Nil(t, whiterThanCard(&white, &brighter, linearOf(spectrum.Lab{L: 90})))

	// Where the card is taken to be whiter than it is, so is the wax, and nothing mirrors.
	white.Number, white.Colour.Lab.L = 1, 99
	refusal := whiterThanCard(&white, &brighter, linearOf(spectrum.Lab{L: 95.5}))
	assert.ErrorContains(t, refusal, "taken to have L* 95.5: a light mirrors in all of the drop, or the card is less white than that")
	assert.Contains(t, refusal.Do, "card 92 0 0")
}
