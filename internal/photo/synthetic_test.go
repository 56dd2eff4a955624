package photo

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"setshade/internal/picture"
	"setshade/internal/picture/picturetest"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// whiteCard is the declared colour of the bare card in these tests.
var whiteCard = spectrum.Lab{L: 95.5, A: -0.4, B: 1.8}

// testDrop is a drop with a known colour at its centre. Place and radius are in
// units of the card's height.
type testDrop struct {
	u, v, radius float64
	lab          spectrum.Lab
}

// testCard is a made-up photograph: not a model of wax, only a picture with
// the faults a real one has and with colours that are known.
type testCard struct {
	w, h       int
	turn       float64 // radians
	fill       float64 // card's width by the picture's
	tilt       float64 // narrowing of the far edge
	light      float64 // darkest to lightest light, 1 is even
	lamp       [3]float64
	noise      float64 // at full scale, 8-bit code values
	exposure   float64
	shadow     float64
	highlight  float64
	table      float64
	drops      []testDrop
	jpeg       int // quality; 0 for PNG
	seed       uint64
	background bool // no card at all
}

func plainCard() testCard {
	return testCard{
		w: 1320, h: 990, turn: 0.05, fill: 0.72, tilt: 0.04, light: 1.5,
		lamp: [3]float64{1, 0.94, 0.86}, noise: 2, exposure: 0.82, shadow: 0.3, highlight: 0.14,
		table: 0.12, jpeg: 90, seed: 1, drops: grid(ladderColours, 4, 0.085),
	}
}

// ladderColours runs from undyed wax to a nearly black one.
var ladderColours = []spectrum.Lab{
	{L: 91, A: -0.5, B: 5.5}, {L: 84, A: 9, B: 6}, {L: 70, A: 30, B: 12}, {L: 48, A: 48, B: 22},
	{L: 86, A: -8, B: 2}, {L: 66, A: -18, B: -14}, {L: 42, A: -4, B: -32}, {L: 24, A: 6, B: -22},
	{L: 88, A: -1, B: 26}, {L: 74, A: 14, B: 48}, {L: 55, A: 0.3, B: 1}, {L: 20, A: 2, B: 2},
}

// grid sets drops out in rows of n, a little off their places.
func grid(colours []spectrum.Lab, n int, radius float64) []testDrop {
	rng := rand.New(rand.NewPCG(7, 7))
	rows := (len(colours) + n - 1) / n
	var drops []testDrop
	for i, lab := range colours {
		drops = append(drops, testDrop{
			u:      (float64(i%n)+0.5)/float64(n)*1.2 + 0.1 + 0.03*(rng.Float64()-0.5),
			v:      (float64(i/n)+0.5)/float64(rows)*0.9 + 0.05 + 0.03*(rng.Float64()-0.5),
			radius: radius * (0.9 + 0.2*rng.Float64()),
			lab:    lab,
		})
	}
	return drops
}

const testAspect = 1.4 // card's width by its height

func (c testCard) corners() plane.Quad {
	half := c.fill * float64(c.w) / 2
	tall := half / testAspect
	cos, sin := math.Cos(c.turn), math.Sin(c.turn)
	var q plane.Quad
	for i, s := range [4]plane.Point{{X: -1, Y: -1}, {X: 1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}} {
		x, y := s.X*half*(1+c.tilt*s.Y), s.Y*tall
		q[i] = plane.Point{X: float64(c.w)/2 + cos*x - sin*y, Y: float64(c.h)/2 + sin*x + cos*y}
	}
	return q
}

// mirroredRoom is what wax of index 1.44 mirrors of a room with two fifths of the card's
// radiance, as a share of the card's: Fresnel's 3.25 % at normal incidence.
const mirroredRoom = 0.0325 * 0.4

// render makes the picture, upright, in sRGB.
func (c testCard) render() *image.NRGBA { return c.renderIn(picture.SRGB) }

// renderIn makes the picture in the code values of a space with sRGB's curve.
func (c testCard) renderIn(space *picture.ColourSpace) *image.NRGBA {
	rng := rand.New(rand.NewPCG(c.seed, 3))
	img := image.NewNRGBA(image.Rect(0, 0, c.w, c.h))
	corners := c.corners()
	onto := plane.SquareTo(corners).Inverse()
	card := linearOf(whiteCard)
	drops := make([][3]float64, len(c.drops))
	for i, d := range c.drops {
		drops[i] = linearOf(d.lab)
	}
	for y := range c.h {
		for x := range c.w {
			at := onto.Apply(plane.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			light := c.sample(plane.Point{X: at.X * testAspect, Y: at.Y}, card, drops, float64(x)/float64(c.w), float64(y)/float64(c.h))
			img.SetNRGBA(x, y, c.develop(space.FromSRGB.Times(light), rng))
		}
	}
	return img
}

// sample is the light of one place, given in units of the card's height.
func (c testCard) sample(at plane.Point, card [3]float64, drops [][3]float64, fx, fy float64) [3]float64 {
	// The lamp stands to the upper left.
	lit := c.exposure * math.Pow(c.light, -(0.7*fx+0.3*fy)-0.15*(fx*fx-fy))
	onCard := !c.background && at.X >= 0 && at.X <= testAspect && at.Y >= 0 && at.Y <= 1
	v := card
	if !onCard {
		grain := 1 + 0.15*math.Sin(60*fy+4*math.Sin(9*fx))
		v = [3]float64{c.table * 1.2 * grain, c.table * grain, c.table * 0.7 * grain}
	} else {
		v = c.wax(at, card, drops)
	}
	// The lamp scales X, Y and Z, which is what a lamp of another colour does to light to a
	// first approximation (von Kries), and not the primaries of a display.
	lamp, xyz := xyzOfLinear.Times(c.lamp), xyzOfLinear.Times(v)
	even := xyzOfLinear.Times([3]float64{1, 1, 1})
	for k := range xyz {
		xyz[k] *= lit * lamp[k] / even[k]
	}
	return linearOfXYZ.Times(xyz)
}

// wax is the card with its drops, shadows and highlights, under even light.
func (c testCard) wax(at plane.Point, card [3]float64, drops [][3]float64) [3]float64 {
	v := card
	shade := 1.0
	for i, d := range c.drops {
		dx, dy := (at.X-d.u)/d.radius, (at.Y-d.v)/d.radius
		if max(math.Abs(dx), math.Abs(dy)) > 1.8 {
			continue
		}
		r := math.Hypot(dx, dy)
		if r < 1 {
			// The middle is opaque enough to hide the card; the rim lets it through.
			cover := 1 - math.Exp(-9*(1-r*r))
			slope := 1 - 0.25*(dx+0.6*dy) // a dome lit from the upper left
			for k := range v {
				v[k] = (cover*drops[i][k]+(1-cover)*card[k])*slope + mirroredRoom*card[k]
			}
			h := math.Hypot(dx+0.3, dy+0.28) / c.highlight
			glare := 0.8 * math.Exp(-h*h*h*h)
			for k := range v {
				v[k] += glare
			}
			return v
		}
		sx, sy := dx-0.18, dy-0.14
		away := math.Hypot(sx, sy) - 0.95
		shade *= 1 - c.shadow/(1+math.Exp(away/0.08))
	}
	for k := range v {
		v[k] *= shade
	}
	return v
}

func (c testCard) develop(light [3]float64, rng *rand.Rand) color.NRGBA {
	code := func(l float64) uint8 {
		return uint8(min(max(math.Round(codeOf(l)+c.noise*rng.NormFloat64()), 0), 255))
	}
	return color.NRGBA{code(light[0]), code(light[1]), code(light[2]), 255}
}

func (c testCard) file(t testing.TB) []byte { return picturetest.Encoded(t, c.render(), c.jpeg) }

// codeOf is sRGB's code value of linear light, not rounded, by interpolation
// between the whole codes.
func codeOf(light float64) float64 {
	above := sort.Search(255, func(i int) bool { return float64(lightOfCode[i]) >= light })
	if above == 0 {
		return 0
	}
	lo, hi := float64(lightOfCode[above-1]), float64(lightOfCode[above])
	return float64(above-1) + (light-lo)/(hi-lo)
}

// lightOfCode is sRGB's curve at every code value of 8 bits.
var lightOfCode = func() (light [256]float32) {
	for code := range light {
		light[code] = float32(picture.SRGBCurve(float64(code) / 255))
	}
	return light
}()
