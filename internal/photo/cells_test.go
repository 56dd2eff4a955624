package photo

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// splash is wax spilt on the row of cells.
type splash struct {
	x        float64 // its middle, in cells from the left edge of the first
	radiusMM float64
	mm       float64 // how thick
	recipe   wax.Recipe
}

// spilt photographs a card (rendered) with a splash on its row of cells: a small drop on
// a place that is moved there.
func spilt(g card.Geometry, s splash, o scene.Options) scene.Photo {
	g.Drops = slices.Clone(g.Drops)
	row := g.Cells[0]
	g.Drops[0].Centre = card.Point{X: row.Min.X + s.x*row.SizeMM().X, Y: row.Centre().Y}
	g.Drops[0].RadiusMM = 0.5 // of its ring, under the wax
	o.WidthPx, o.HeightPx, o.Jitter = 1000, 750, -1
	return scene.Sheet{
		Shelf: sceneShelf, Card: scene.WhiteCard(), State: wax.SetState, Print: &g,
		Rows: [][]wax.Recipe{{s.recipe}}, RadiusMM: s.radiusMM, ThicknessMM: s.mm,
	}.Photograph(o)
}

// spiltBesideDrops photographs a card with drops on its first two rows, and the splash.
func spiltBesideDrops(g card.Geometry, s splash, o scene.Options) scene.Photo {
	over := spilt(g, s, o)
	sheet := printedSheet(g.Size, sceneShelf, wax.SetState)
	sheet.Print, sheet.Rows = &g, sheet.Rows[:2]
	o.WidthPx, o.HeightPx = 1000, 750
	truth := sheet.Photograph(o)
	row := card.Rect{Min: g.Cells[0].Min, Max: g.Cells[card.CodeCells-1].Max}
	back := truth.ToPicture.Inverse()
	for y := range truth.Image.Rect.Dy() {
		for x := range truth.Image.Rect.Dx() {
			if row.InsideMM(card.Point(back.Map(scene.Point{X: float64(x), Y: float64(y)}))) > -4 {
				truth.Image.SetRGBA(x, y, over.Image.RGBAAt(x, y))
			}
		}
	}
	return truth
}

func dyed(dose float64) wax.Recipe {
	return wax.Recipe{{Dye: sceneShelf.Dyes[0].Name, DoseGPerKg: dose}}
}

// A splash of wax on the row of cells, undyed to dark, leaves the print told by the
// cells beside it; the drops are read as without it. (Rendered.)
func TestRenderedWaxOnTheRowOfCells(t *testing.T) {
	t.Parallel()
	says := func(r Reading) bool { return strings.Contains(fmt.Sprint(r.Notes), "row of cells") }
	for name, c := range map[string]struct {
		g card.Geometry
		s splash
	}{
		"undyed on the first print":     {card.Layout(card.A5), splash{10.5, 4, 1, nil}},
		"pale on the first print":       {card.Layout(card.HalfLetter), splash{9.5, 6, 1.5, dyed(0.1)}},
		"strong on the first print":     {card.Layout(card.A5), splash{8.5, 6, 1.5, dyed(3)}},
		"the last cells: paper by edge": {card.Layout(card.HalfLetter), splash{14, 4, 1.5, dyed(1)}},
		"A5's last cells":               {card.LayoutOfPrint(card.A5, 9), splash{14, 4, 1.5, dyed(1)}},
		// Owed: undyed wax on the version of print 6 leaves print 4 possible, and is refused.
		"two cells of a number": {card.LayoutOfPrint(card.A5, 21), splash{3, 2.5, 1, dyed(0.4)}},
	} {
		truth := spiltBesideDrops(c.g, c.s, scene.Options{Seed: 4, RotationDegrees: 12, TiltDegrees: 8, LightRatio: 1.4})
		r, err := Read(picturetest.Encoded(t, truth.Image, 90), Expect{Rows: []int{5, 5}, Card: truth.Card})
		if !assert.NoError(t, err, name) {
			continue
		}
		assert.Equal(t, c.g.Print(), r.Printed.Print(), name)
		assert.True(t, says(r), name)
		for i, d := range r.Drops {
			if !truth.Drops[i].Middle.Display().Clipped {
				assert.Less(t, spectrum.DE00(d.Colour.Lab, truth.Drops[i].Middle), 2.5, "%s, drop %d", name, d.Number)
			}
		}
	}
	clean := spiltBesideDrops(card.LayoutOfPrint(card.A5, 6), splash{-20, 1, 1, nil}, scene.Options{Seed: 4})
	r, err := Read(picturetest.Encoded(t, clean.Image, 90), Expect{Rows: []int{5, 5}, Card: clean.Card})
	require.NoError(t, err)
	assert.False(t, says(r))
}

// Where more than one print fits what is seen, the card is refused, and which they may
// be is said; never is it taken for another print. (Rendered.)
func TestWaxOnTooManyCells(t *testing.T) {
	t.Parallel()
	for _, s := range []splash{{3.5, 6, 1.5, dyed(0.4)}, {3, 7, 2, nil}} {
		truth := spilt(card.LayoutOfPrint(card.A5, 6), s, scene.Options{Seed: 4, RotationDegrees: 12})
		_, refusal := findPrinted(picture.FromImage(truth.Image, picture.SRGB))
		require.ErrorIs(t, refusal, card.ErrCodeUnreadable, "%+v", s)
	}
}

// At no place and size, and with no wax, does a splash turn one print into another.
// (Rendered.)
func TestRenderedSplashesMakeNoOtherPrint(t *testing.T) {
	t.Parallel()
	read, refused := 0, 0
	for k, recipe := range []wax.Recipe{nil, dyed(0.1), dyed(0.4), dyed(3)} {
		for i := range 6 {
			g := card.LayoutOfPrint(card.Sizes()[i%2], 1+7*i%card.LastPrint)
			s := splash{x: float64((5*i+3*k)%15) + 0.3, radiusMM: 2 + float64((i+k)%4)*1.5, mm: 0.6 + 0.5*float64((i+2*k)%4), recipe: recipe}
			truth := spilt(g, s, scene.Options{Seed: uint64(i), RotationDegrees: float64(30 * i)})
			found, refusal := findPrinted(picture.FromImage(truth.Image, picture.SRGB))
			if refusal != nil {
				refused++
				require.ErrorIs(t, refusal, card.ErrCodeUnreadable, "%s %+v", g.Print(), s)
				continue
			}
			read++
			assert.Equal(t, g.Print(), found.geometry.Print(), "%+v", s)
		}
	}
	t.Logf("%d read, %d refused", read, refused)
	assert.Greater(t, read, 2*refused)
}
