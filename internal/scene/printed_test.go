package scene

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// printedSheet has drops on places 1 to 3, 7 and 13 to 15.
func printedSheet(size card.Size, state wax.State) Sheet {
	s := smallSheet(state)
	g := card.Layout(size)
	s.Print = &g
	s.Rows = [][]wax.Recipe{s.Rows[0], s.Rows[1][:1], {nil, recipe(s.Shelf.Dyes[1].Name, 0.1), recipe(s.Shelf.Dyes[2].Name, 0.3)}}
	return s
}

// tilted leaves out all that hides the truth, and holds the camera badly.
var tilted = Options{Seed: 3, WidthPx: 1200, HeightPx: 900, RotationDegrees: 150, TiltDegrees: 20,
	LightRatio: 1, Noise: -1, Highlight: -1, Shadow: -1, Jitter: -1}

func TestPictureShowsThePrint(t *testing.T) {
	for _, size := range card.Sizes() {
		sheet := printedSheet(size, wax.SetState)
		photo := sheet.Photograph(tilted)
		black := lab(spectrum.Flat(0.04))
		shows := func(want spectrum.Lab, at card.Point, what string) {
			t.Helper()
			assert.Less(t, spectrum.DE00(want, shown(photo, photo.ToPicture.Map(Point(at)))), 1.0, "%s: %s at %+v", size, what, at)
		}

		require.Len(t, photo.FiducialsPx, 4)
		for i, f := range sheet.Print.Fiducials {
			assert.Equal(t, photo.ToPicture.Map(Point(f.Centre)), photo.FiducialsPx[i])
			middle := photo.Card
			if i == 0 {
				middle = black
			}
			shows(middle, f.Centre, "a fiducial's middle")
			shows(black, card.Point{X: f.Centre.X, Y: f.Centre.Y + (f.InnerRadiusMM+f.OuterRadiusMM)/2}, "a fiducial")
			shows(photo.Card, card.Point{X: f.Centre.X, Y: f.Centre.Y + f.OuterRadiusMM + 1}, "beside a fiducial")
		}
		require.Len(t, photo.Strip, len(sheet.Print.Strip))
		for i, patch := range sheet.Print.Strip {
			shows(photo.Strip[i], patch.Rect.Centre(), "a patch")
		}
		for i, cell := range sheet.Print.Cells {
			want := photo.Card
			if sheet.Print.Code[i] {
				want = black
			}
			shows(want, cell.Centre(), "a cell")
		}
		between := (sheet.Print.Drops[16].Centre.X + sheet.Print.Drops[17].Centre.X) / 2
		shows(black, card.Point{X: between, Y: sheet.Print.BlackBar.Centre().Y}, "the bar")
		shows(photo.Card, sheet.Print.Drops[5].Centre, "a place without a drop")
	}
}

// Drops stand on the numbered places, and over the bar one half is over black.
func TestDropsStandOnThePlaces(t *testing.T) {
	for _, state := range []wax.State{wax.SetState, wax.LiquidState} {
		sheet := printedSheet(card.A5, state)
		photo := sheet.Photograph(tilted)
		var numbers []int
		clipped := 0
		for _, d := range photo.Drops {
			numbers = append(numbers, d.Number)
			place := sheet.Print.Drops[d.Number-1]
			centre := photo.ToPicture.Map(Point(place.Centre))
			assert.InDelta(t, centre.X, d.CentrePx.X, 1e-9)
			assert.InDelta(t, centre.Y, d.CentrePx.Y, 1e-9)
			assert.Equal(t, place.OverBlack, d.OverBlack)

			below := d.Middle
			if d.OverBlack {
				below = d.BlackMiddle
				assert.Less(t, d.BlackLab.L, d.Lab.L, "drop %d", d.Number)
			}
			for mm, want := range map[float64]spectrum.Lab{-0.8: d.Middle, 0.8: below} {
				if d.Number == 15 { // the darkest changes by 1.1 over its middle: a point is no mean
					continue
				}
				p := photo.ToPicture.Map(Point{place.Centre.X, place.Centre.Y + mm})
				if want.Display().Clipped { // the picture cannot hold it
					clipped++
					continue
				}
				assert.Less(t, spectrum.DE00(want, shown(photo, p)), 1.0, "%s drop %d, %g mm below its middle", state, d.Number, mm)
			}
		}
		assert.Equal(t, []int{1, 2, 3, 7, 13, 14, 15}, numbers)
		assert.LessOrEqual(t, clipped, 1)
	}
}

// Clear liquid wax shows the bar through itself; set wax hides it for the most
// part. Common practice, no source.
func TestSetWaxHidesTheBar(t *testing.T) {
	contrast := func(state wax.State) float64 {
		photo := printedSheet(card.A5, state).Photograph(Options{WidthPx: 80, HeightPx: 60})
		undyed := photo.Drops[4]
		white := spectrum.D65.White()
		return undyed.BlackLab.XYZ(white).Y / undyed.Lab.XYZ(white).Y // ISO 6504-3: Yblack / Ywhite
	}
	assert.Less(t, contrast(wax.LiquidState), 0.1)
	assert.Greater(t, contrast(wax.SetState), 0.85)
}

func TestMoreDropsThanPlaces(t *testing.T) {
	sheet := printedSheet(card.A5, wax.SetState)
	sheet.Rows = append(sheet.Rows, []wax.Recipe{nil})
	assert.Panics(t, func() { sheet.Photograph(Options{WidthPx: 80, HeightPx: 60}) })
	sheet.Rows = [][]wax.Recipe{make([]wax.Recipe, card.Columns+1)}
	assert.Panics(t, func() { sheet.Photograph(Options{WidthPx: 80, HeightPx: 60}) })
}

// However coarse the picture and however far off its place a drop lies.
func TestOddPrintedPictures(t *testing.T) {
	for seed := range uint64(3) {
		o := Options{Seed: seed, WidthPx: 40 + 60*int(seed), HeightPx: 90, Jitter: 1 + 3*float64(seed), TiltDegrees: 35}
		sheet := printedSheet(card.HalfLetter, wax.SetState)
		first, again := sheet.Photograph(o), sheet.Photograph(o)
		assert.True(t, bytes.Equal(first.Image.Pix, again.Image.Pix))
	}
}

// A print is near what was asked for, and not the same: no patch is taken for
// another, hues keep their order, and nothing reflects more than the card.
func TestInked(t *testing.T) {
	paper := WhiteCard()
	solid := usualPrinter.inked(card.Colour{}, paper)
	assert.Equal(t, spectrum.Flat(usualPrinter.black), solid)
	bare := usualPrinter.inked(card.Colour{R: 255, G: 255, B: 255}, paper)
	assert.InDeltaSlice(t, paper[:], bare[:], 1e-6)
	var earlier []spectrum.Lab
	for _, patch := range card.Layout(card.A5).Strip {
		r := usualPrinter.inked(patch.Colour, paper)
		for i := range r {
			assert.True(t, r[i] >= usualPrinter.black-1e-12 && r[i] <= paper[i], "%v at %g nm: %g", patch.Colour, spectrum.WavelengthNM(i), r[i])
		}
		printed, target := lab(r), patch.Colour.Target()
		assert.Less(t, spectrum.DE00(printed, target), 25.0, "%v", patch.Colour)
		assert.Greater(t, spectrum.DE00(printed, target), 0.3, "%v", patch.Colour)
		for _, other := range earlier {
			assert.Greater(t, spectrum.DE00(printed, other), 5.0, "%v", patch.Colour)
		}
		earlier = append(earlier, printed)
	}
}

// Letters take ink inside their line and nowhere else.
func TestLettering(t *testing.T) {
	for _, text := range card.Layout(card.A5).Texts() {
		l := newLettering(text)
		size := l.bounds.SizeMM()
		assert.InDelta(t, 1.2*text.SizeMM, size.Y, 0.25*text.SizeMM, "ascenders to descenders are about 1.2 of the size")
		whole := l.covers(l.bounds.Centre(), max(size.X, size.Y)/2)
		share := whole * max(size.X, size.Y) / min(size.X, size.Y) // of the line, not the square around it
		assert.True(t, share > 0.05 && share < 0.4, "%q: %.2f of its line", text.Words, share)
		assert.Zero(t, l.covers(card.Point{X: l.bounds.Min.X - 1, Y: text.At.Y}, 0.5))
		assert.LessOrEqual(t, l.bounds.Min.Y, text.At.Y-0.7*text.SizeMM)
		assert.GreaterOrEqual(t, l.bounds.Max.Y, text.At.Y)
	}
}
