package photo

import (
	"image"
	"image/color"
	"image/draw"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// stripBy photographs an empty strip, by another printer where a seed is given.
func stripBy(seed uint64, o scene.Options) scene.Photo {
	g := card.Layout(card.A5)
	var printer *scene.Printer
	if seed > 0 {
		printer = scene.RandomPrinter(seed)
	}
	o.Seed, o.WidthPx, o.HeightPx = 2, 640, 480
	return scene.Sheet{
		Shelf: scene.RandomShelf(scene.NewWax(scene.Soy), 1, 1), Card: scene.WhiteCard(), State: wax.SetState,
		Rows: [][]wax.Recipe{make([]wax.Recipe, 6)}, Print: &g, Printer: printer,
	}.Photograph(o)
}

// laidOn covers patches, numbered from 1, with a colour of sRGB.
func laidOn(truth scene.Photo, with color.RGBA, patches ...int) image.Image {
	soiled := plainPixels(truth.Image)
	for _, n := range patches {
		r := card.Layout(card.A5).Strip[n-1].Rect
		a, b := truth.ToPicture.Map(scene.Point(r.Min)), truth.ToPicture.Map(scene.Point(r.Max))
		draw.Draw(soiled, image.Rect(int(a.X), int(a.Y), int(b.X)+1, int(b.Y)+1), image.NewUniform(with), image.Point{}, draw.Src)
	}
	return soiled
}

// The strip of any printer is fit for an anchor, in daylight and under a lamp; with wax
// or a finger on it, it is not.
func TestRenderedAnAnchorsStripIsAsPrinted(t *testing.T) {
	t.Parallel()
	flaw := func(img image.Image, bare spectrum.Lab) string {
		r, err := Read(picturetest.Encoded(t, img, 90), Expect{Drops: 6, Card: bare})
		require.NoError(t, err)
		_, why := r.AnchorFlaw()
		return why
	}
	for seed := range uint64(8) {
		o := scene.Options{}
		if seed%2 == 1 {
			o = scene.Options{Kelvin: 2700, ToneCurve: 0.5}
		}
		truth := stripBy(seed, o)
		assert.Empty(t, flaw(truth.Image, truth.Card), "printer %d", seed)
	}
	brown, undyed, pink := color.RGBA{150, 90, 40, 255}, color.RGBA{236, 232, 218, 255}, color.RGBA{226, 168, 176, 255}
	truth := stripBy(0, scene.Options{RotationDegrees: 1})
	for _, c := range []struct {
		with    color.RGBA
		patches []int
		says    string
	}{
		{brown, []int{11, 12, 13, 14}, "patches 11, 12, 13 and 14 of its strip cannot have been printed so"},
		{brown, []int{13}, "patch 13 of its strip"},
		{brown, []int{4}, "patch 4 of its strip"},
		{undyed, []int{9}, "patch 9 of its strip"},
		{undyed, []int{5}, "patch 5 of its strip"},
		{undyed, []int{2}, "patch 2 of its strip"},
		{pink, []int{6}, "patch 6 of its strip"},
		{pink, []int{11}, "patch 11 of its strip"},
		{color.RGBA{105, 105, 105, 255}, []int{3}, "patch 3 of its strip"},
	} {
		assert.Contains(t, flaw(laidOn(truth, c.with, c.patches...), truth.Card), c.says)
	}
}
