package pdf

import (
	"bytes"
	"fmt"
	"image/png"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
)

// Another program draws a sheet as large as its paper, with every card on it at true
// scale: each fiducial is where the card's geometry says, from the card's corner.
// Needs pdftoppm (package poppler-utils); elsewhere the test is left out.
func TestSheetDrawnByAnotherProgram(t *testing.T) {
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("pdftoppm is not installed")
	}
	const perMM, inside = 6.0, 0.4
	for _, sheet := range card.Sheets() {
		for _, size := range card.Sizes() {
			g, l := card.Layout(size), sheet.Layup(size)
			var file bytes.Buffer
			require.NoError(t, WriteSheet(&file, g, l))
			run := exec.Command("pdftoppm", "-png", "-r", fmt.Sprint(perMM*25.4), "-")
			run.Stdin = &file
			out, err := run.Output()
			require.NoError(t, err)
			picture, err := png.Decode(bytes.NewReader(out))
			require.NoError(t, err)
			assert.InDelta(t, l.PaperMM.X*perMM, picture.Bounds().Dx(), 1, "%s on %s", size, sheet)
			assert.InDelta(t, l.PaperMM.Y*perMM, picture.Bounds().Dy(), 1, "%s on %s", size, sheet)
			black, white := card.Colour{}, card.Colour{R: 255, G: 255, B: 255}
			for _, corner := range l.Corners {
				shows := func(want card.Colour, x, y float64) {
					t.Helper()
					got := pixel(picture, (corner.X+g.PaperMM.X/2+x)*perMM, (corner.Y+g.PaperMM.Y/2+y)*perMM)
					assert.Equal(t, want, got, "%s on %s, at %g, %g of the card", size, sheet, x, y)
				}
				for _, f := range g.Fiducials {
					for _, side := range [][2]float64{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
						in, out := f.OuterRadiusMM-inside, f.OuterRadiusMM+inside
						shows(black, f.Centre.X+in*side[0], f.Centre.Y+in*side[1])
						shows(white, f.Centre.X+out*side[0], f.Centre.Y+out*side[1])
					}
				}
			}
			for _, m := range l.CutMarks() {
				middle := m.Centre()
				assert.NotEqual(t, white, pixel(picture, middle.X*perMM, middle.Y*perMM), "%s on %s: a mark at %+v", size, sheet, middle)
			}
		}
	}
}
