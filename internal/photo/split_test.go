package photo

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/picture/picturetest"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// discs returns the pixels of a picture 200 wide that lie in any of the circles.
func discs(circles ...circle) (seed []int32) {
	for i := range 200 * 200 {
		p := plane.Point{X: float64(i%200) + 0.5, Y: float64(i/200) + 0.5}
		for _, c := range circles {
			if p.Minus(c.centre).Length() <= c.radius {
				seed = append(seed, int32(i))
				break
			}
		}
	}
	return seed
}

func TestParts(t *testing.T) {
	at := func(x, y, r float64) circle { return circle{plane.Point{X: x, Y: y}, r} }
	for _, c := range []struct {
		name    string
		circles []circle
		n       int
	}{
		{"one", []circle{at(60, 60, 30)}, 1},
		{"two that touch", []circle{at(50, 60, 30), at(109, 60, 30)}, 2},
		{"two run into each other", []circle{at(50, 60, 30), at(96, 70, 28)}, 2},
		{"a small and a large one", []circle{at(60, 60, 40), at(117, 60, 20)}, 2},
		{"three in a corner", []circle{at(50, 50, 25), at(98, 50, 25), at(50, 98, 25)}, 3},
		{"a long one", []circle{at(60, 60, 30), at(66, 60, 30), at(72, 60, 30), at(78, 60, 30)}, 1},
	} {
		split := parts(discs(c.circles...), 200)
		assert.Len(t, split, c.n, c.name)
		total := 0
		for _, p := range split {
			total += len(p)
		}
		assert.Equal(t, len(discs(c.circles...)), total, c.name)
	}
}

// Two drops of one colour, and two of different colours, that touch.
func TestTouchingDropsAreParted(t *testing.T) {
	red, blue, pale := spectrum.Lab{L: 55, A: 45, B: 20}, spectrum.Lab{L: 45, A: 0, B: -35}, spectrum.Lab{L: 85, A: 10, B: 8}
	for _, pair := range [][2]spectrum.Lab{{red, red}, {red, blue}, {pale, blue}} {
		c := plainCard()
		c.drops = []testDrop{
			{u: 0.35, v: 0.5, radius: 0.12, lab: pair[0]}, {u: 0.585, v: 0.52, radius: 0.12, lab: pair[1]},
			{u: 1.05, v: 0.5, radius: 0.12, lab: red},
		}
		r, err := Read(c.file(t), Expect{Drops: 3, Card: whiteCard})
		require.NoError(t, err)
		for i, d := range r.Drops {
			assert.Less(t, spectrum.DE00(d.Colour.Lab, c.drops[i].lab), 1.5, "%v, drop %d", pair, i+1)
		}
		assert.Contains(t, r.Drops[0].Notes, "it touches another drop and was parted from it")
		assert.Empty(t, r.Drops[2].Notes)
	}
}

// Bubbles, dark and bright, and a dried petal of the wax's own brightness lie on a
// drop; its colour is the wax's.
func TestBitsOnADrop(t *testing.T) {
	c := plainCard()
	c.jpeg, c.highlight = 95, 0.02
	picture := c.render()
	onto := plane.SquareTo(c.corners())
	d := c.drops[5]
	centre := onto.Apply(plane.Point{X: d.u / testAspect, Y: d.v})
	radius := d.radius * c.corners()[3].Minus(c.corners()[0]).Length()
	wax := linearOf(d.lab)
	petal := linearOf(spectrum.Lab{L: d.lab.L, A: 20, B: 10})
	spots := []struct {
		x, y, r float64
		change  [3]float64
	}{
		{0.25, 0.1, 0.12, [3]float64{petal[0] / wax[0], petal[1] / wax[1], petal[2] / wax[2]}},
		{-0.2, 0.25, 0.08, [3]float64{0.5, 0.5, 0.5}},
		{-0.1, -0.3, 0.07, [3]float64{1.6, 1.6, 1.6}},
	}
	img := everyPixel(picture, func(fx, fy float64, l [3]float64) [3]float64 {
		p := (plane.Point{X: fx * float64(c.w), Y: fy * float64(c.h)}).Minus(centre).Times(1 / radius)
		for _, s := range spots {
			if math.Hypot(p.X-s.x, p.Y-s.y) < s.r {
				return [3]float64{l[0] * s.change[0], l[1] * s.change[1], l[2] * s.change[2]}
			}
		}
		return l
	})
	read := func(img *image.NRGBA) Drop {
		r, err := Read(picturetest.Encoded(t, img, c.jpeg), plan)
		require.NoError(t, err)
		return r.Drops[5]
	}
	clean, soiled := read(picture), read(img)
	assert.Less(t, spectrum.DE00(clean.Colour.Lab, soiled.Colour.Lab), 0.3)
	assert.Less(t, spectrum.DE00(soiled.Colour.Lab, d.lab), 1.0)
	assert.Greater(t, soiled.Rejected.Foreign, clean.Rejected.Foreign+0.008)
}
