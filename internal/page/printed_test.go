package page

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/scene"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// printedPlan is that of the rendered card below.
const printedPlan = `wax Harrow Soy
state set
rows 1 1 4
1 undyed
2 undyed
3 undyed
4 Bracken 0.1 g/kg
5 Bracken 0.4 g/kg
6 Bracken 1.5 g/kg
`

// printedCards are two photographs of one printed card, rendered once: in daylight,
// and turned, by a camera that bends its tones.
var printedCards struct {
	sync.Once
	jpegs [2][]byte
	// strip is its true strip, as a file of colours.
	strip string
}

// newPrintedSite has both photographs recorded; the first is the anchor.
func newPrintedSite(t testing.TB) *site {
	t.Helper()
	s := newSite(t, nil)
	s.recordPrinted()
	return s
}

func (s *site) recordPrinted() {
	s.t.Helper()
	printedCards.Do(func() { renderPrinted(s.t) })
	for i, jpeg := range printedCards.jpegs {
		_, err := s.workshop.Record(context.Background(), workshop.Card{
			PhotoName: fmt.Sprintf("printed-%d.jpg", i+1), PlanName: "printed.plan", Photo: jpeg, PlanText: printedPlan,
		})
		require.NoError(s.t, err)
	}
}

func renderPrinted(t testing.TB) {
	t.Helper()
	g := card.Layout(card.A5)
	shelf := scene.RandomShelf(scene.NewWax(scene.Soy), 3, 1)
	row := []wax.Recipe{nil}
	for _, dose := range []float64{0.1, 0.4, 1.5} {
		row = append(row, wax.Recipe{{Dye: shelf.Dyes[0].Name, DoseGPerKg: dose}})
	}
	sheet := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: wax.SetState, Rows: [][]wax.Recipe{row[:1], row[:1], row}, Print: &g}
	for i, o := range []scene.Options{{Kelvin: 6500, RotationDegrees: 5}, {Kelvin: 6500, RotationDegrees: 170, ToneCurve: 0.3}} {
		o.Seed, o.WidthPx, o.HeightPx = 3, 1000, 750
		picture := sheet.Photograph(o)
		var file bytes.Buffer
		require.NoError(t, picture.WriteJPEG(&file, 92))
		printedCards.jpegs[i] = file.Bytes()
		var strip strings.Builder
		strip.WriteString("# D65\npatch,L,a,b\n")
		for k, lab := range picture.Strip {
			fmt.Fprintf(&strip, "%d,%.2f,%.2f,%.2f\n", k+1, lab.L, lab.A, lab.B)
		}
		printedCards.strip = strip.String()
	}
}
