package card

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ISO 216: A4 is 210 mm x 297 mm, and A5 is half of it. A US Letter sheet is 8.5 in
// x 11 in (ANSI/ASME Y14.1).
func TestSheets(t *testing.T) {
	assert.Equal(t, Point{210, 297}, A4.PaperMM())
	assert.InDelta(t, 215.9, Letter.PaperMM().X, 1e-9)
	assert.InDelta(t, 279.4, Letter.PaperMM().Y, 1e-9)
	for _, s := range Sheets() {
		named, err := SheetNamed(s.String())
		require.NoError(t, err)
		assert.Equal(t, s, named)
	}
	_, err := SheetNamed("A5")
	assert.ErrorContains(t, err, `no sheet is called "A5"; the sheets are A4 and letter`)
}

// Two halves make a sheet; a card of the other standard leaves room for one.
func TestCardsOnASheet(t *testing.T) {
	for _, c := range []struct {
		sheet Sheet
		size  Size
		cards int
		lying bool
	}{
		{A4, A5, 2, false}, {Letter, HalfLetter, 2, false},
		{Letter, A5, 1, false}, {A4, HalfLetter, 1, true},
	} {
		l := c.sheet.Layup(c.size)
		assert.Len(t, l.Corners, c.cards, "%s on %s", c.size, c.sheet)
		assert.Equal(t, c.lying, l.PaperMM.X > l.PaperMM.Y)
		assert.Equal(t, c.size.PaperMM(), l.CardMM, "true scale")
		for i, corner := range l.Corners {
			assert.GreaterOrEqual(t, corner.X, -fitMM)
			assert.GreaterOrEqual(t, corner.Y, -fitMM)
			assert.LessOrEqual(t, corner.X+l.CardMM.X, l.PaperMM.X+fitMM)
			assert.LessOrEqual(t, corner.Y+l.CardMM.Y, l.PaperMM.Y+fitMM)
			if i > 0 {
				assert.InDelta(t, l.CardMM.Y, corner.Y-l.Corners[i-1].Y, 1e-9, "one cut parts both")
			}
		}
	}
}

// Marks lie on edges of cards, where a printer reaches, and touch nothing that is
// printed on a card.
func TestCutMarksKeepClear(t *testing.T) {
	for _, sheet := range Sheets() {
		for _, size := range Sizes() {
			l := sheet.Layup(size)
			marks := l.CutMarks()
			assert.NotEmpty(t, marks)
			for _, m := range marks {
				assert.True(t, contains(Rect{Point{}, l.PaperMM}, m))
				assert.GreaterOrEqual(t, min(m.Min.X, m.Min.Y, l.PaperMM.X-m.Max.X, l.PaperMM.Y-m.Max.Y), MarginMM-1e-9)
				for _, corner := range l.Corners {
					for _, p := range Layout(size).Painted() {
						b := p.Shape.Bounds()
						x, y := corner.X+l.CardMM.X/2, corner.Y+l.CardMM.Y/2
						clear := b.Min.X+x > m.Max.X || b.Max.X+x < m.Min.X || b.Min.Y+y > m.Max.Y || b.Max.Y+y < m.Min.Y
						assert.True(t, clear, "%s on %s: a mark at %+v touches %+v", size, sheet, m, p)
					}
				}
			}
		}
	}
}
