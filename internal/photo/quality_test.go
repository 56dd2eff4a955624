package photo

import (
	"image"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/picture"
	"setshade/internal/picture/picturetest"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// everyPixel changes a picture place by place, given 0..1 across and down.
func everyPixel(img *image.NRGBA, change func(fx, fy float64, light [3]float64) [3]float64) *image.NRGBA {
	out := image.NewNRGBA(img.Rect)
	w, h := img.Rect.Dx(), img.Rect.Dy()
	for i := 0; i < len(img.Pix); i += 4 {
		x, y := i/4%w, i/4/w
		var light [3]float64
		for c := range light {
			light[c] = picture.SRGBCurve(float64(img.Pix[i+c]) / 255)
		}
		light = change(float64(x)/float64(w), float64(y)/float64(h), light)
		for c, v := range light {
			out.Pix[i+c] = uint8(255*picture.SRGBCode(min(max(v, 0), 1)) + 0.5)
		}
		out.Pix[i+3] = 255
	}
	return out
}

// blurredOver is the mean over a box of pixels across, as of a camera that moved.
func blurredOver(img *image.NRGBA, box int) *image.NRGBA {
	out := image.NewNRGBA(img.Rect)
	w, h := img.Rect.Dx(), img.Rect.Dy()
	for i := range out.Pix {
		out.Pix[i] = 255
	}
	var lights [256]float64
	for code := range lights {
		lights[code] = picture.SRGBCurve(float64(code) / 255)
	}
	for y := range h {
		for c := range 3 {
			light := func(x int) float64 {
				return lights[img.Pix[img.PixOffset(min(max(x, 0), w-1), y)+c]]
			}
			sum := 0.0
			for x := -box; x < w; x++ { // the box ends at x + box/2
				sum += light(x+box/2) - light(x+box/2-box)
				if x == -box {
					sum = float64(box) * light(0)
				}
				if x >= 0 {
					out.Pix[out.PixOffset(x, y)+c] = uint8(255*picture.SRGBCode(max(sum/float64(box), 0)) + 0.5)
				}
			}
		}
	}
	return out
}

// A lamp on one side and a window on the other; and the same light twice as
// bright on one side, which is no mixed light.
func TestMixedLight(t *testing.T) {
	c := smallCard()
	c.lamp = [3]float64{1, 1, 1}
	picture := c.render()
	mixed := func(by float64) (Reading, error) {
		img := everyPixel(picture, func(fx, _ float64, l [3]float64) [3]float64 {
			f := math.Exp(by * (fx - 0.5))
			return [3]float64{l[0] * f, l[1], l[2] / f}
		})
		return Read(picturetest.Encoded(t, img, 0), plan)
	}
	r, err := mixed(0)
	require.NoError(t, err)
	assert.Less(t, r.Quality.TintShift, 0.03)
	assert.Greater(t, r.Quality.LightRatio, 1.2)
	assert.NotContains(t, r.Notes, "two lamps")
	r, err = mixed(0.15)
	require.NoError(t, err)
	assert.InDelta(t, 2*0.15*c.fill, r.Quality.TintShift, 0.05)
	assert.Contains(t, r.Notes[len(r.Notes)-1], "as if from two lamps")
	r, err = mixed(0.6)
	require.ErrorContains(t, err, "two lights of very different colour")
	assert.NotNil(t, r.Overlay())
}

func TestNoise(t *testing.T) {
	c := smallCard()
	c.light, c.shadow, c.drops = 1, 0, grid(ladderColours[2:8], 3, 0.1) // no pale ones
	noiseOf := func(sigma float64) Reading {
		c.noise = sigma
		r, err := Read(c.file(t), Expect{Drops: 6, Card: whiteCard})
		require.NoError(t, err)
		return r
	}
	r := noiseOf(3)
	// Code values of white card to light: dL/L = 2.4/1.055 (L^(1/2.4))/L dV, about
	// 2.3 dV/V for bright ones (IEC 61966-2-1:1999, 5.2).
	const bright = 225.0
	assert.InDelta(t, 2.3*3/bright, r.Quality.Noise, 0.012)
	assert.NotContains(t, r.Notes, "noisy")
	r = noiseOf(6)
	assert.Contains(t, r.Notes[len(r.Notes)-1], "noisy")
}

// One drop too bright in one channel is refused with the exposure to change, the
// card being sound.
func TestClippedDrop(t *testing.T) {
	c := smallCard()
	c.exposure, c.light, c.highlight = 0.8, 1, 0.01
	picture := c.render()
	onto := plane.SquareTo(c.corners())
	d := c.drops[3]
	centre := onto.Apply(plane.Point{X: d.u / testAspect, Y: d.v})
	radius := d.radius * c.corners()[3].Minus(c.corners()[0]).Length()
	img := everyPixel(picture, func(fx, fy float64, l [3]float64) [3]float64 {
		if (plane.Point{X: fx * float64(c.w), Y: fy * float64(c.h)}).Minus(centre).Length() < 0.9*radius {
			l[0] = 1
		}
		return l
	})
	_, err := Read(picturetest.Encoded(t, img, 0), plan)
	require.ErrorContains(t, err, "drop 4 is overexposed")
	assert.ErrorContains(t, err, "exposure darkened by one stop")
}

// Dark pictures and coarse files are told of, and what their rounding does to a drop
// is no bit of another colour; a real one is.
func TestRenderedDarkAndCoarse(t *testing.T) {
	t.Parallel()
	notesOf := func(r Reading) (picture, drops string) {
		for _, d := range r.Drops {
			drops += strings.Join(d.Notes, " ")
		}
		return strings.Join(r.Notes, " "), drops
	}
	const compressed, dark, bits = "strong compression", "stops under-exposed", "bits of another colour"
	for _, k := range []struct {
		name    string
		change  func(*testCard)
		says    string
		saysNot string
	}{
		{"as made", func(*testCard) {}, "", compressed + "|" + dark},
		{"JPEG 55", func(c *testCard) { c.jpeg = 55 }, compressed, dark},
		{"JPEG 75", func(c *testCard) { c.jpeg = 75 }, "", compressed + "|" + dark},
		{"three stops under", func(c *testCard) { c.exposure, c.light = 0.1, 1.2 }, "3 " + dark, compressed},
		{"four stops under", func(c *testCard) { c.exposure, c.light = 0.056, 1.2 }, "4 " + dark, compressed},
	} {
		c := plainCard()
		k.change(&c)
		r, err := Read(c.file(t), plan)
		if k.says == "3 "+dark || k.says == "4 "+dark { // owed: undyed wax is not found there
			assert.ErrorContains(t, err, "drop 1 (upper left) was not found", k.name)
			continue
		}
		require.NoError(t, err, k.name)
		picture, drops := notesOf(r)
		assert.Contains(t, picture, k.says, k.name)
		for _, not := range strings.Split(k.saysNot, "|") {
			assert.NotContains(t, picture, not, k.name)
		}
		assert.NotContains(t, drops, bits, k.name)
	}
	c := plainCard()
	d := c.drops[2] // rose, with a petal of marigold beside its middle
	petal := c
	petal.drops = append([]testDrop{{d.u + 0.25*d.radius, d.v + 0.2*d.radius, 0.2 * d.radius, spectrum.Lab{L: 72, A: 18, B: 66}}}, c.drops...)
	r, err := Read(petal.file(t), plan)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(r.Drops[2].Notes, " "), bits)
	assert.Less(t, spectrum.DE00(r.Drops[2].Colour.Lab, d.lab), 1.5)
}
