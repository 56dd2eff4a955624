package card

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ISO 216 for A5; half of the US Letter sheet of 11 in x 8.5 in (ANSI/ASME Y14.1).
func TestPaper(t *testing.T) {
	assert.Equal(t, Point{210, 148}, A5.PaperMM())
	letter := HalfLetter.PaperMM()
	assert.InDelta(t, 215.9, letter.X, 1e-9)
	assert.InDelta(t, 279.4/2, letter.Y, 1e-9)
	for _, s := range Sizes() {
		named, err := SizeNamed(s.String())
		require.NoError(t, err)
		assert.Equal(t, s, named)
	}
	_, err := SizeNamed("A4")
	assert.ErrorContains(t, err, `no card is called "A4"; the sizes are A5 and half-letter`)
}

// Prints differ in their cells and in the words that tell them, so that a drop is found
// in the same place on each.
func TestPrintsCarryTheSameMarks(t *testing.T) {
	first, other := Layout(A5), LayoutOfPrint(A5, 7)
	assert.Equal(t, "A5 print 1", first.Print())
	assert.Equal(t, "A5 print 7", other.Print())
	assert.Equal(t, "card 1, A5 print 7", other.Texts()[len(other.Texts())-1].Words)
	assert.Equal(t, 4.0*8, first.CodeArea().SizeMM().X)
	assert.Equal(t, 4.0*CodeCells, other.CodeArea().SizeMM().X)
	first.PrintNumber, first.Code = other.PrintNumber, other.Code
	assert.Equal(t, first, other)
	for _, number := range []int{0, LastPrint + 1} {
		assert.Panics(t, func() { LayoutOfPrint(A5, number) })
	}
}

// Both papers carry the same marks at the same places.
func TestPapersCarryTheSameMarks(t *testing.T) {
	a, b := Layout(A5), Layout(HalfLetter)
	assert.NotEqual(t, a.Code, b.Code)
	a.Size, a.PaperMM, a.Code = b.Size, b.PaperMM, b.Code
	assert.Equal(t, a, b)
}

func TestEverythingIsInsideTheMargins(t *testing.T) {
	for _, s := range Sizes() {
		g := LayoutOfPrint(s, LastPrint)
		page := around(Point{}, g.PaperMM.X-2*MarginMM, g.PaperMM.Y-2*MarginMM)
		for _, p := range g.Painted() {
			assert.True(t, contains(page, p.Shape.Bounds()), "%s: %+v", s, p)
		}
	}
}

func contains(outer, inner Rect) bool {
	return outer.InsideMM(inner.Min) >= 0 && outer.InsideMM(inner.Max) >= 0
}

// areas are the things of a card that must not touch, by name, and how much white
// each needs around it: of a place the widest drop that may stand on it, of a
// fiducial a rim half as wide as its radius.
func areas(g Geometry) map[string]Rect {
	out := map[string]Rect{"ruler": g.Ruler}
	grown := func(r Rect, by float64) Rect {
		size := r.SizeMM()
		return around(r.Centre(), size.X+2*by, size.Y+2*by)
	}
	for i, f := range g.Fiducials {
		out["fiducial "+string(rune('0'+i))] = grown(f.Bounds(), f.OuterRadiusMM/2)
	}
	for i, p := range g.Strip {
		out["patch "+string(rune('a'+i))] = p.Rect
	}
	for _, d := range g.Drops {
		name := string(rune('A' + d.Number))
		out["place "+name] = around(d.Centre, 2*d.RadiusMM+2, 2*d.RadiusMM+2)
		out["line "+name] = d.DoseLine
	}
	out["code"] = g.CodeArea()
	return out
}

func TestNothingOverlaps(t *testing.T) {
	all := areas(LayoutOfPrint(A5, LastPrint))
	assert.Len(t, all, 1+4+14+2*18+1)
	for a, first := range all {
		for b, second := range all {
			if a != b {
				assert.False(t, overlap(first, second), "%s and %s", a, b)
			}
		}
	}
}

func overlap(a, b Rect) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// A drop of 18 mm that is set down 3 mm off its place still stays clear of its
// neighbour.
func TestDropsAreFarApart(t *testing.T) {
	g := Layout(A5)
	require.Len(t, g.Drops, Rows*Columns)
	for i, d := range g.Drops {
		assert.Equal(t, i+1, d.Number)
		for _, other := range g.Drops[:i] {
			apart := math.Hypot(d.Centre.X-other.Centre.X, d.Centre.Y-other.Centre.Y)
			assert.GreaterOrEqual(t, apart, 18+2*3.0)
		}
		// A hand needs about 5 mm of height and 25 mm of width for a dose (common
		// practice: lines of a school book are 7 to 9 mm apart; no source).
		above := d.Centre.Y + d.RadiusMM
		if d.OverBlack {
			above = g.BlackBar.Max.Y
		}
		assert.GreaterOrEqual(t, d.DoseLine.Min.Y-above, 5.0, "place %d", d.Number)
		assert.GreaterOrEqual(t, d.DoseLine.SizeMM().X, 25.0)
	}
}

// The bar lies under exactly the lower half of each place of the last row.
func TestBlackBarLiesUnderHalfOfTheLastRow(t *testing.T) {
	g := Layout(A5)
	for _, d := range g.Drops {
		below := Point{d.Centre.X, d.Centre.Y + d.RadiusMM}
		assert.Equal(t, d.Number > (Rows-1)*Columns, d.OverBlack)
		assert.Equal(t, d.OverBlack, g.BlackBar.InsideMM(below) > 0, "place %d", d.Number)
		if d.OverBlack {
			assert.InDelta(t, 0, g.BlackBar.InsideMM(d.Centre), 1e-9)
			for _, side := range []float64{-d.RadiusMM, d.RadiusMM} {
				assert.Greater(t, g.BlackBar.InsideMM(Point{d.Centre.X + side, d.Centre.Y + 0.1}), 0.0)
			}
		}
	}
}

// The fiducials stand mirrored about both axes; only the first has no hole.
func TestFiducials(t *testing.T) {
	f := Layout(A5).Fiducials
	x, y := -f[0].Centre.X, -f[0].Centre.Y
	for i, want := range []Point{{-x, -y}, {x, -y}, {x, y}, {-x, y}} {
		assert.Equal(t, want, f[i].Centre)
		assert.Equal(t, f[0].OuterRadiusMM, f[i].OuterRadiusMM)
		assert.Equal(t, i == 0, f[i].InnerRadiusMM == 0)
	}
}

// Any three fiducials say which way up the card is: turned by half a turn, which
// maps the oblong on itself, they never look the same.
func TestThreeFiducialsAreEnough(t *testing.T) {
	f := Layout(A5).Fiducials
	type seen struct {
		at   Point
		hole bool
	}
	look := func(hidden int, turn float64) map[seen]bool {
		out := map[seen]bool{}
		for i, r := range f {
			if i != hidden {
				out[seen{Point{turn * r.Centre.X, turn * r.Centre.Y}, r.InnerRadiusMM > 0}] = true
			}
		}
		return out
	}
	for hidden := range f {
		for other := range f {
			assert.NotEqual(t, look(hidden, 1), look(other, -1), "hidden: %d or %d", hidden, other)
		}
	}
}

func TestStrip(t *testing.T) {
	greys, colours, lightness := 0, 0, -10.0
	for _, p := range Layout(A5).Strip {
		if !p.Colour.IsGrey() {
			colours++
			continue
		}
		greys++
		assert.Zero(t, colours, "greys come first")
		l := p.Colour.Target().L
		assert.InDelta(t, 14, l-lightness, 8, "steps of lightness are alike")
		lightness = l
	}
	assert.GreaterOrEqual(t, greys, 6)
	assert.GreaterOrEqual(t, colours, 4)
}

func TestInside(t *testing.T) {
	ring := Ring{Point{1, 2}, 5, 2}
	assert.InDelta(t, -2, ring.InsideMM(Point{1, 2}), 1e-12)
	assert.InDelta(t, 1, ring.InsideMM(Point{1, 5}), 1e-12)
	assert.InDelta(t, -1, ring.InsideMM(Point{7, 2}), 1e-12)
	assert.InDelta(t, 5, Ring{Centre: Point{1, 2}, OuterRadiusMM: 5}.InsideMM(Point{1, 2}), 1e-12)
	assert.Equal(t, Rect{Point{-4, -3}, Point{6, 7}}, ring.Bounds())
	rect := Rect{Point{0, 0}, Point{4, 2}}
	assert.InDelta(t, 1, rect.InsideMM(Point{2, 1}), 1e-12)
	assert.InDelta(t, -3, rect.InsideMM(Point{7, 1}), 1e-12)
}
