package photo

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/camera"
	"setshade/internal/card"
	"setshade/internal/picture"
	"setshade/internal/picture/picturetest"
	"setshade/internal/rank"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func TestPlannedPlaces(t *testing.T) {
	g := card.Layout(card.A5)
	for _, c := range []struct {
		want   Expect
		places []int
	}{
		{Expect{}, nil},
		{Expect{Drops: 8}, []int{1, 2, 3, 4, 5, 6, 7, 8}},
		{Expect{Rows: []int{2, 3}}, []int{1, 2, 7, 8, 9}},
		{Expect{Rows: []int{1, 1, 6}}, []int{1, 7, 13, 14, 15, 16, 17, 18}},
		{Expect{Rows: []int{3}}, []int{1, 2, 3}},
		{Expect{Rows: []int{4, 4}}, []int{1, 2, 3, 4, 7, 8, 9, 10}},
		{Expect{Rows: []int{8}}, []int{1, 2, 3, 4, 5, 6, 7, 8}},
		{Expect{Rows: []int{1, 1, 1, 1}}, []int{1, 2, 3, 4}},
		{Expect{Rows: []int{0, 0, 6}}, []int{13, 14, 15, 16, 17, 18}},
		{Expect{Rows: []int{0, 2}}, []int{7, 8}},
		{Expect{Places: []int{1, 2, 4, 9}}, []int{1, 2, 4, 9}},
		{Expect{Places: []int{1, 2, 4, 9}, Rows: []int{3, 1}}, []int{1, 2, 4, 9}},
		{Expect{Places: []int{2, 18}, Rows: []int{1, 0, 1}}, []int{2, 18}},
	} {
		places, refusal := c.want.filled(g)
		assert.Nil(t, refusal)
		assert.Equal(t, c.places, places, "%+v", c.want)
	}
	for says, want := range map[string]Expect{
		"19 drops, the printed card 18 places":                                    {Drops: 19},
		"the plan has a drop 19, the printed card places 1 to 18":                 {Places: []int{1, 19}},
		"rows of 0 + 7 do not fit the printed card, which has 3 rows of 6 places": {Rows: []int{0, 7}},
		"places 1, 2, 4 and 9 lie in rows of 3 + 1, not of 2 + 2":                 {Places: []int{1, 2, 4, 9}, Rows: []int{2, 2}},
	} {
		_, refusal := want.filled(g)
		require.NotNil(t, refusal)
		assert.Contains(t, refusal.Error(), says)
	}
}

func TestListed(t *testing.T) {
	assert.Equal(t, "place 4", listed("place", "places", []int{4}))
	assert.Equal(t, "places 4 and 9", listed("place", "places", []int{4, 9}))
	assert.Equal(t, "places 1, 4 and 9", listed("place", "places", []int{1, 4, 9}))
}

// readShot reads a rendered printed card.
func readShot(t *testing.T, truth scene.Photo, want Expect) (Reading, error) {
	want.Card = truth.Card
	return Read(picturetest.Encoded(t, truth.Image, 97), want)
}

// Sizes in mm, the halves over black and the numbers are the scene's; a drop over
// the bar is completed from the half that shows.
func TestReadPrinted(t *testing.T) {
	t.Parallel()
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	truth := sheet.Photograph(scene.Options{Seed: 2, WidthPx: 1200, HeightPx: 900, RotationDegrees: 170, TiltDegrees: 20})
	r, err := readShot(t, truth, Expect{Rows: []int{5, 5, 5}})
	require.NoError(t, err)
	require.NotNil(t, r.Printed)
	assert.Equal(t, card.A5, r.Printed.Size)
	assert.Equal(t, []int{5, 5, 5}, r.Rows)
	require.Len(t, r.Patches, len(r.Printed.Strip))
	assert.Equal(t, Correction{ByWhite, camera.Untouched()}, r.Correction)
	for i, p := range r.Patches {
		assert.True(t, p.Sound)
		assert.Less(t, spectrum.DE00(p.Colour, truth.Strip[i]), 1.0, "patch %d", i+1)
	}
	zero, one := truth.ToPicture.Map(scene.Point{}), truth.ToPicture.Map(scene.Point{X: 1})
	pxPerMM := math.Hypot(one.X-zero.X, one.Y-zero.Y)
	for i, d := range r.Drops {
		w := truth.Drops[i]
		at := r.Printed.Drops[d.Number-1].Centre
		place := func(right float64) scene.Point { return scene.Point{X: at.X + right, Y: at.Y} }
		assert.Equal(t, w.Number, d.Number)
		assert.InDelta(t, w.CentrePx.X, d.CentreX, 1.2*pxPerMM)
		assert.InDelta(t, w.CentrePx.Y, d.CentreY, 1.2*pxPerMM)
		here, edge := truth.ToPicture.Map(place(0)), truth.ToPicture.Map(place(1))
		radiusMM := w.RadiusPx / math.Hypot(edge.X-here.X, edge.Y-here.Y)
		within := 0.05
		if w.OverBlack { // completed from the half that shows
			within = 0.1
		}
		assert.InEpsilon(t, 2*radiusMM, d.DiameterMM, within, "drop %d", d.Number)
		require.Equal(t, w.OverBlack, d.OverBlack != nil, "drop %d", d.Number)
		assert.Less(t, spectrum.DE00(d.Colour.Lab, w.Middle), 1.5, "drop %d", d.Number)
		if w.OverBlack {
			assert.Less(t, spectrum.DE00(d.OverBlack.Lab, w.BlackLab), 2.5, "drop %d over black", d.Number)
			assert.Less(t, d.OverBlack.Lab.L, d.Colour.Lab.L+1)
		}
	}
	require.NotNil(t, r.Overlay())
}

// What the plan says and the picture does not bear out is refused by number.
func TestRenderedPlacesThatDoNotAgreeWithThePlan(t *testing.T) {
	t.Parallel()
	sheet := printedSheet(card.HalfLetter, sceneShelf, wax.SetState)
	truth := sheet.Photograph(scene.Options{Seed: 4, WidthPx: 1200, HeightPx: 900})
	file := picturetest.Encoded(t, truth.Image, 90)
	read := func(want Expect) (Reading, error) {
		want.Card = truth.Card
		return Read(file, want)
	}
	for says, want := range map[string]Expect{
		"no drop was found on place 6;":                                    {Rows: []int{6, 5, 5}},
		"no drop was found on places 6 and 12":                             {Drops: 12},
		"the plan names no drop for places 5, 11 and 17, but wax":          {Rows: []int{4, 4, 4}},
		"19 drops, the printed card 18 places":                             {Drops: 19},
		"2 colours are given for the 14 patches of the card's strip; give": {Reference: make([]spectrum.Lab, 2)},
	} {
		r, err := read(want)
		assert.ErrorContains(t, err, says)
		assert.NotNil(t, r.Overlay())
	}
	r, err := read(Expect{})
	require.NoError(t, err, "without a plan whatever lies there is read")
	assert.Len(t, r.Drops, 15)

	sheet.Rows = nil
	empty := sheet.Photograph(scene.Options{Seed: 4, WidthPx: 1000, HeightPx: 750})
	_, err = readShot(t, empty, Expect{})
	assert.ErrorContains(t, err, "no drops were found")
}

// Places may stay empty, and keep their numbers: the plan names the others, or says
// which rows of places hold none.
func TestRenderedEmptyPlaces(t *testing.T) {
	t.Parallel()
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	options := scene.Options{Seed: 4, WidthPx: 1200, HeightPx: 900}
	full := sheet.Photograph(options)
	sheet.Rows = nil
	bare := sheet.Photograph(options)
	without := func(numbers ...int) []byte {
		img := image.NewRGBA(full.Image.Rect)
		draw.Draw(img, img.Rect, full.Image, image.Point{}, draw.Src)
		for _, n := range numbers {
			for _, d := range full.Drops {
				if d.Number == n {
					at, half := image.Pt(int(d.CentrePx.X), int(d.CentrePx.Y)), image.Pt(60, 60)
					around := image.Rectangle{at.Sub(half), at.Add(half)}
					draw.Draw(img, around, bare.Image, around.Min, draw.Src)
				}
			}
		}
		return picturetest.Encoded(t, img, 95)
	}
	for _, c := range []struct {
		empty, numbers, rows []int
		want                 Expect
	}{
		{[]int{3}, []int{1, 2, 4, 5, 7, 8, 9, 10, 11, 13, 14, 15, 16, 17}, []int{4, 5, 5},
			Expect{Places: []int{1, 2, 4, 5, 7, 8, 9, 10, 11, 13, 14, 15, 16, 17}}},
		{[]int{1, 2, 3, 4, 5, 7, 8, 9, 10, 11}, []int{13, 14, 15, 16, 17}, []int{5}, Expect{Drops: 5, Rows: []int{0, 0, 5}}},
		{[]int{1, 2, 3, 4, 5, 7, 8, 9, 10, 11}, []int{13, 14, 15, 16, 17}, []int{5}, Expect{Drops: 5, Places: []int{13, 14, 15, 16, 17}}},
	} {
		c.want.Card = full.Card
		r, err := Read(without(c.empty...), c.want)
		require.NoError(t, err)
		assert.Equal(t, c.rows, r.Rows)
		var numbers []int
		for _, d := range r.Drops {
			numbers = append(numbers, d.Number)
			for _, truth := range full.Drops {
				if truth.Number == d.Number {
					assert.Less(t, spectrum.DE00(d.Colour.Lab, truth.Lab), 1.5, "drop %d", d.Number)
				}
			}
		}
		assert.Equal(t, c.numbers, numbers)
	}
	_, err := Read(without(3), Expect{Rows: []int{5, 5, 5}, Card: full.Card})
	assert.ErrorContains(t, err, "no drop was found on place 3; look at the overlay to see what was found, then correct the plan, which may leave out the numbers of empty places")
	_, err = Read(without(3), Expect{Places: []int{1, 2, 3, 4, 5, 7, 8, 9, 10, 11, 13, 14, 15, 16}, Card: full.Card})
	assert.ErrorContains(t, err, "no drop was found on place 3")
}

// A splash and pencilled doses are no drops, and a drop that slid is said to have.
func TestStrayMarksOnPlaces(t *testing.T) {
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	sheet.Rows = [][]wax.Recipe{sheet.Rows[0][2:5], sheet.Rows[1][2:5]}
	truth := sheet.Photograph(scene.Options{Seed: 6, WidthPx: 1200, HeightPx: 900, Jitter: 0.3})
	g := sheet.Print
	spot := func(at card.Point, radiusMM float64, c color.RGBA) {
		for y := -radiusMM; y <= radiusMM; y += 0.1 {
			for x := -radiusMM; x <= radiusMM; x += 0.1 {
				if math.Hypot(x, y) <= radiusMM {
					p := truth.ToPicture.Map(scene.Point{X: at.X + x, Y: at.Y + y})
					truth.Image.SetRGBA(int(p.X), int(p.Y), c)
				}
			}
		}
	}
	brown, blue := color.RGBA{150, 90, 40, 255}, color.RGBA{40, 60, 140, 255}
	spot(card.Point{X: g.Drops[4].Centre.X + 2, Y: g.Drops[4].Centre.Y}, 2, brown)
	for _, d := range g.Drops[:9] {
		for x := -8.0; x < 8; x += 3 {
			spot(card.Point{X: d.DoseLine.Centre().X + x, Y: d.DoseLine.Min.Y - 2.5}, 0.9, blue)
		}
	}
	slid := card.Point{X: g.Drops[3].Centre.X + 4.5, Y: g.Drops[3].Centre.Y - 2}
	spot(slid, 8, brown)
	r, err := readShot(t, truth, Expect{Rows: []int{4, 3}})
	require.NoError(t, err)
	assert.Contains(t, r.Notes, "1 small splash was left out")
	require.Len(t, r.Drops, 7)
	assert.Equal(t, 4, r.Drops[3].Number)
	assert.Contains(t, r.Drops[3].Notes, "it lies 5 mm off its place")
}

// The second photograph, by a camera that bends and mixes colours, agrees with the
// first once it is anchored to it.
func TestAccuracyByAnAnchor(t *testing.T) {
	t.Parallel()
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	first := sheet.Photograph(scene.Options{Seed: 8, Jitter: 0.5, WidthPx: 1200, HeightPx: 900})
	again := sheet.Photograph(scene.Options{Seed: 8, Jitter: 0.5, WidthPx: 1200, HeightPx: 900, RotationDegrees: 180, TiltDegrees: 15, LightRatio: 2})
	mixing := [3][3]float64{{0.9, 0.08, 0.02}, {0.05, 0.9, 0.05}, {0.02, 0.1, 0.88}}
	gain, gamma := [3]float64{1, 0.9, 0.7}, 1.15
	bent := image.NewRGBA(again.Image.Rect)
	draw.Draw(bent, bent.Rect, again.Image, image.Point{}, draw.Src)
	for i := 0; i < len(bent.Pix); i += 4 {
		pixel := bent.Pix[i : i+3]
		var light [3]float64
		for r, row := range mixing {
			for c, share := range row {
				light[r] += gain[r] * share * picture.SRGBCurve(float64(pixel[c])/255)
			}
		}
		for c, v := range light {
			pixel[c] = uint8(255*math.Pow(picture.SRGBCode(v), gamma) + 0.5)
		}
	}
	again.Image = bent
	plan := Expect{Rows: []int{5, 5, 5}}
	one, err := readShot(t, first, plan)
	require.NoError(t, err)
	apart := func(want Expect) []float64 {
		r, err := readShot(t, again, want)
		require.NoError(t, err)
		var out []float64
		for i, d := range r.Drops {
			if !first.Drops[i].Lab.Display().Clipped {
				out = append(out, spectrum.DE00(d.Colour.Lab, one.Drops[i].Colour.Lab))
			}
		}
		if want.Anchor != nil {
			assert.Equal(t, ByAnchor, r.Correction.Kind)
			assert.Less(t, r.Correction.HeldOutDE00, 1.0)
		}
		return out
	}
	without := apart(plan)
	for _, p := range one.Patches {
		plan.Anchor = append(plan.Anchor, p.Corrected)
	}
	with := apart(plan)
	t.Logf("apart without the anchor: median %.2f, worst %.2f; with it %.2f, %.2f",
		rank.Quantile(without, 0.5), rank.Quantile(without, 1), rank.Quantile(with, 0.5), rank.Quantile(with, 1))
	assert.Greater(t, rank.Quantile(without, 0.5), 2.0)
	assert.Less(t, rank.Quantile(with, 0.5), 0.7)
	assert.Less(t, rank.Quantile(with, 0.95), 1.5)
}
