package photo

import (
	"fmt"
	"image"
	"image/draw"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/plane"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// shadow says which share of the light it takes at a place of the picture, 0..1
// across and down.
type shadow func(fx, fy float64) float64

// halfLight is an edge of so deep a shadow: all light where across is less than
// at, its soft edge so wide from a tenth to nine tenths.
func halfLight(across, at, wide, deep float64) float64 {
	return deep / (1 + math.Exp(-4.4*(across-at)/wide))
}

// shadows as they fall on a kitchen table: a hand's or a head's with a wide edge,
// the bar of a window, a phone's round one.
var shadows = []struct {
	name string
	of   shadow
}{
	{"a hand from the right", func(fx, fy float64) float64 { return halfLight(fx+0.2*fy, 0.72, 0.06, 0.3) }},
	{"a faint hand", func(fx, fy float64) float64 { return halfLight(fx+0.2*fy, 0.62, 0.1, 0.12) }},
	{"a soft edge over the middle", func(fx, fy float64) float64 { return halfLight(fx-0.3*fy, 0.35, 0.25, 0.35) }},
	{"a window bar", func(fx, fy float64) float64 {
		return halfLight(fx+0.3*fy, 0.55, 0.04, 0.25) - halfLight(fx+0.3*fy, 0.67, 0.04, 0.25)
	}},
	{"a narrow bar", func(fx, fy float64) float64 {
		return halfLight(fy+0.1*fx, 0.5, 0.02, 0.2) - halfLight(fy+0.1*fx, 0.56, 0.02, 0.2)
	}},
	{"the phone", func(fx, fy float64) float64 {
		return halfLight(-math.Hypot(fx-0.5, 0.75*(fy-0.5)), -0.22, 0.1, 0.3)
	}},
}

// under lays a shadow on a picture.
func (s shadow) under(img *image.NRGBA) *image.NRGBA {
	return everyPixel(img, func(fx, fy float64, l [3]float64) [3]float64 {
		share := 1 - s(fx, fy)
		return [3]float64{l[0] * share, l[1] * share, l[2] * share}
	})
}

// plainPixels is a picture with straight alpha, as everyPixel wants it.
func plainPixels(img image.Image) *image.NRGBA {
	out := image.NewNRGBA(img.Bounds())
	draw.Draw(out, out.Rect, img, img.Bounds().Min, draw.Src)
	return out
}

// outOf writes how far the drops of a reading are off, and those of them that are far
// off without a word: neither the picture refused nor the drop named in a note.
func outOf(r Reading, err error, truth func(number int) spectrum.Lab) (worst float64, silent []int) {
	const far = 2.0 // dE00, seen side by side (common practice, no source)
	for _, d := range r.Drops {
		off := spectrum.DE00(d.Colour.Lab, truth(d.Number))
		worst = max(worst, off)
		named := slices.ContainsFunc(r.Notes, func(note string) bool {
			return strings.Contains(note, "shadow") && regexp.MustCompile(fmt.Sprintf(`\b%d\b`, d.Number)).MatchString(note)
		})
		if off > far && err == nil && !named {
			silent = append(silent, d.Number)
		}
	}
	return worst, silent
}

// A drop in half shadow is set right by the card around it, told of, or refused;
// a picture that is not refused is within 2.5 dE00 of the truth. Without a shadow
// nothing is said of one.
func TestRenderedShadowsAreSaid(t *testing.T) {
	t.Parallel()
	plain := smallCard()
	bare := plain.render()
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	print := sheet.Photograph(scene.Options{Seed: 4, WidthPx: 880, HeightPx: 660})
	printed := plainPixels(print.Image)
	kinds := []struct {
		name  string
		img   *image.NRGBA
		want  Expect
		truth func(number int) spectrum.Lab
	}{
		{"plain", bare, plan, func(n int) spectrum.Lab { return plain.drops[n-1].lab }},
		{"printed", printed, Expect{Rows: []int{5, 5, 5}, Card: print.Card, Reference: print.Strip}, func(n int) spectrum.Lab {
			return print.Drops[slices.IndexFunc(print.Drops, func(d scene.Truth) bool { return d.Number == n })].Middle
		}},
	}
	for _, k := range kinds {
		r, err := Read(picturetest.Encoded(t, k.img, 0), k.want)
		require.NoError(t, err)
		assert.NotContains(t, strings.Join(r.Notes, " "), "shadow", k.name)
		for i, s := range shadows {
			if i%2 == 1 && k.want.Reference != nil {
				continue // half of them do, and each takes its time
			}
			r, err := Read(picturetest.Encoded(t, s.of.under(k.img), 0), k.want)
			worst, silent := outOf(r, err, k.truth)
			t.Logf("%-8s %-28s worst dE00 %.2f; %v", k.name, s.name, worst, err)
			assert.Empty(t, silent, "%s under %s", k.name, s.name)
			if err != nil {
				continue // owed: not all of them name the shadow as the cause
			}
			assert.Less(t, worst, 2.5, "%s under %s", k.name, s.name)
			assert.Regexp(t, "shadow|evened out", strings.Join(r.Notes, " "), "%s under %s", k.name, s.name)
		}
	}
}

// Where a shadow hides drops, it is the shadow that is told of.
func TestShadowThatHidesDrops(t *testing.T) {
	c := smallCard()
	deep := shadow(func(fx, fy float64) float64 { return halfLight(fx+0.3*fy, 0.6, 0.1, 0.75) })
	_, err := Read(picturetest.Encoded(t, deep.under(c.render()), 0), plan)
	require.ErrorContains(t, err, "shadow")
	assert.ErrorContains(t, err, "% of the bare card")
	assert.ErrorContains(t, err, "even light")
}

// A drop wholly in an even shadow is read by the card around it, and its interval
// holds the truth: the squared distance is within the upper 0.1 % point of χ² with
// three degrees of freedom, 16.266 (NIST/SEMATECH e-Handbook of Statistical Methods,
// 1.3.6.7.4).
func TestDropInEvenShadow(t *testing.T) {
	c := smallCard()
	d := c.drops[6]
	onto := plane.SquareTo(c.corners())
	centre := onto.Apply(plane.Point{X: d.u / testAspect, Y: d.v})
	radius := 2.2 * d.radius * c.corners()[3].Minus(c.corners()[0]).Length()
	round := shadow(func(fx, fy float64) float64 {
		off := math.Hypot(fx*float64(c.w)-centre.X, fy*float64(c.h)-centre.Y) / radius
		return 0.15 * halfLight(-off, -1, 0.1, 1)
	})
	r, err := Read(picturetest.Encoded(t, round.under(c.render()), 0), plan)
	seven := r.Drops[6]
	t.Logf("dE00 %.2f, %v, %v", spectrum.DE00(seven.Colour.Lab, d.lab), err, r.Notes)
	assert.Less(t, spectrum.DE00(seven.Colour.Lab, d.lab), 1.0)
	assert.Less(t, mahalanobis(t, seven.Colour, d.lab), 16.266)
}

func TestSurround(t *testing.T) {
	ring := func(of func(x, y float64) float64) surround {
		var parts []sector
		for s := range ringSectors {
			sin, cos := math.Sincos(2 * math.Pi * (float64(s) + 0.5) / ringSectors)
			v := of(cos, sin)
			parts = append(parts, sector{cos, sin, [channels]float64{v, v, v}})
		}
		return surroundOf(parts)
	}
	even := ring(func(_, _ float64) float64 { return 1 })
	assert.Equal(t, surround{light: [channels]float64{1, 1, 1}}, even)
	shaded := ring(func(_, _ float64) float64 { return 0.8 })
	assert.InDelta(t, 0.8, shaded.light[green], 0.005)
	assert.Zero(t, shaded.doubt)
	slope := ring(func(x, _ float64) float64 { return 0.9 + 0.1*x })
	assert.InDelta(t, 0.9, slope.light[green], 0.005)
	assert.Less(t, slope.doubt, notedDoubt)
	edge := ring(func(x, _ float64) float64 {
		if x > 1.0/3 { // half a radius off the middle of a ring 1.5 radii wide
			return 0.8
		}
		return 1
	})
	assert.Greater(t, edge.doubt, 1-edge.light[green], "the doubt holds the light of the drop's middle, 1")
	bar := ring(func(x, _ float64) float64 {
		if math.Abs(x) < 0.2 {
			return 0.8
		}
		return 1
	})
	assert.Greater(t, bar.doubt, mostDoubt)
}
