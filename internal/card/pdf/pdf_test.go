package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os/exec"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
)

func written(t *testing.T, g card.Geometry) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, g))
	return b.Bytes()
}

// The page is as large as the card: a unit is 1/72 in (ISO 32000-1, 8.3.2.3).
func TestPageIsTheCard(t *testing.T) {
	box := regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\s*\]`)
	for _, s := range card.Sizes() {
		file := written(t, card.Layout(s))
		require.True(t, bytes.HasPrefix(file, []byte("%PDF-1.")))
		found := box.FindAllSubmatch(file, -1)
		require.Len(t, found, 1)
		for i, want := range []float64{s.PaperMM().X, s.PaperMM().Y} {
			units, err := strconv.ParseFloat(string(found[0][1+i]), 64)
			require.NoError(t, err)
			assert.InDelta(t, want, units/72*25.4, 0.003, s)
		}
		assert.NotContains(t, string(file), "/UserUnit")
	}
}

func TestSameCardSameBytes(t *testing.T) {
	first := written(t, card.Layout(card.A5))
	assert.Equal(t, first, written(t, card.Layout(card.A5)))
	assert.NotEqual(t, first, written(t, card.Layout(card.HalfLetter)))
	assert.NotEqual(t, first, written(t, card.LayoutOfPrint(card.A5, 2)))
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room left") }

func TestFailureToWriteIsSaid(t *testing.T) {
	assert.EqualError(t, Write(full{}, card.Layout(card.A5)), "the card could not be written: no room left")
}

// Letters, as wide as Helvetica is, stay inside the margins and off whatever is
// printed, a place's drop and one another.
func TestWordsHaveRoom(t *testing.T) {
	for _, s := range card.Sizes() {
		g := card.LayoutOfPrint(s, card.LastPrint)
		p := newPage(g)
		var taken []card.Rect
		for _, painted := range g.Painted() {
			if _, ring := painted.Shape.(card.Ring); !ring {
				taken = append(taken, painted.Shape.Bounds())
			}
		}
		for _, text := range g.Texts() {
			p.letter(text)
			box := card.Rect{
				Min: card.Point{X: text.At.X, Y: text.At.Y - 0.73*text.SizeMM}, // capitals and ascenders, from memory 718/1000
				Max: card.Point{X: text.At.X + p.doc.GetStringWidth(text.Words), Y: text.At.Y},
			}
			assert.Less(t, box.Max.X, g.PaperMM.X/2-card.MarginMM, text.Words)
			assert.Less(t, box.Max.Y, g.PaperMM.Y/2-card.MarginMM, text.Words)
			for _, other := range taken {
				clear := box.Min.X >= other.Max.X || other.Min.X >= box.Max.X || box.Min.Y >= other.Max.Y || other.Min.Y >= box.Max.Y
				assert.True(t, clear, "%s: %q lies on %+v", s, text.Words, other)
			}
			for _, d := range g.Drops {
				ring := card.Ring{Centre: d.Centre, OuterRadiusMM: d.RadiusMM}
				nearest := card.Point{
					X: min(max(d.Centre.X, box.Min.X), box.Max.X),
					Y: min(max(d.Centre.Y, box.Min.Y), box.Max.Y),
				}
				assert.Negative(t, ring.InsideMM(nearest), "%s: %q lies in place %d", s, text.Words, d.Number)
			}
			taken = append(taken, box)
		}
	}
}

// Another program draws our page, and everything is where the geometry says.
// Needs pdftoppm (package poppler-utils); elsewhere the test is left out.
func TestDrawnByAnotherProgram(t *testing.T) {
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("pdftoppm is not installed")
	}
	const perMM = 6.0
	for i, s := range card.Sizes() {
		g := card.LayoutOfPrint(s, 1+20*i)
		run := exec.Command("pdftoppm", "-png", "-r", fmt.Sprint(perMM*25.4), "-")
		run.Stdin = bytes.NewReader(written(t, g))
		out, err := run.Output()
		require.NoError(t, err)
		picture, err := png.Decode(bytes.NewReader(out))
		require.NoError(t, err)
		assert.InDelta(t, g.PaperMM.X*perMM, picture.Bounds().Dx(), 1)
		assert.InDelta(t, g.PaperMM.Y*perMM, picture.Bounds().Dy(), 1)

		shows := func(want card.Colour, at card.Point, what string) {
			t.Helper()
			got := pixel(picture, (at.X+g.PaperMM.X/2)*perMM, (at.Y+g.PaperMM.Y/2)*perMM)
			assert.Equal(t, want, got, "%s: %s at %+v", s, what, at)
		}
		black, white := card.Colour{}, card.Colour{R: 255, G: 255, B: 255}
		const inside = 0.4 // mm from an edge
		for i, f := range g.Fiducials {
			middle := white
			if i == 0 {
				middle = black
			}
			shows(middle, f.Centre, "a fiducial's middle")
			for _, side := range [][2]float64{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
				on := func(radius float64) card.Point {
					return card.Point{X: f.Centre.X + radius*side[0], Y: f.Centre.Y + radius*side[1]}
				}
				shows(black, on(f.OuterRadiusMM-inside), "a fiducial's rim")
				shows(black, on(f.InnerRadiusMM+inside), "a fiducial's hole")
				shows(white, on(f.OuterRadiusMM+inside), "beside a fiducial")
				if i > 0 {
					shows(white, on(f.InnerRadiusMM-inside), "in a fiducial's hole")
				}
			}
		}
		for _, p := range g.Strip {
			shows(p.Colour, card.Point{X: p.Rect.Min.X + inside, Y: p.Rect.Min.Y + inside}, "a patch")
			shows(p.Colour, card.Point{X: p.Rect.Max.X - inside, Y: p.Rect.Max.Y - inside}, "a patch")
		}
		for i, cell := range g.Cells {
			want := white
			if g.Code[i] {
				want = black
			}
			shows(want, cell.Centre(), "a cell")
		}
		for _, d := range g.Drops {
			below := white
			if d.OverBlack {
				below = black
			}
			shows(white, card.Point{X: d.Centre.X, Y: d.Centre.Y - inside}, "upper half of a place")
			shows(below, card.Point{X: d.Centre.X, Y: d.Centre.Y + inside}, "lower half of a place")
			assert.NotEqual(t, white, pixel(picture,
				(d.Centre.X+g.PaperMM.X/2)*perMM, (d.Centre.Y-d.RadiusMM+g.PaperMM.Y/2)*perMM), "a place's ring")
		}
	}
}

func pixel(picture image.Image, x, y float64) card.Colour {
	r, g, b, _ := picture.At(int(x), int(y)).RGBA()
	return card.Colour{R: uint8(r >> 8), G: uint8(g >> 8), B: uint8(b >> 8)}
}

func BenchmarkWrite(b *testing.B) {
	g := card.Layout(card.A5)
	for b.Loop() {
		var out bytes.Buffer
		if err := Write(&out, g); err != nil {
			b.Fatal(err)
		}
	}
}
