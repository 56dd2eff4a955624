package page

import (
	"bytes"
	"context"
	"fmt"
	"net/url"
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

// Drops of a printed card bear the numbers of their places, and are kept by them, with
// the plan as text or without.
func TestDropsOfAPrintedCardBearTheirPlaces(t *testing.T) {
	printedCards.Do(func() { renderPrinted(t) })
	places := []int{1, 7, 13, 14, 15, 16}
	for name, fields := range map[string]map[string]string{
		"tapped":                {"wax": "Harrow Soy", "state": "set"},
		"with a plan":           {"plan": printedPlan},
		"with a plan by places": {"plan": "wax Harrow Soy\nstate set\n1 undyed\n7 undyed\n13 undyed\n14 Bracken 0.1 g/kg\n15 Bracken 0.4 g/kg\n16 Bracken 1.5 g/kg\n"},
	} {
		s := newSite(t, nil)
		r := s.upload("printed.jpg", bytes.NewReader(printedCards.jpegs[0]), fields)
		require.Equal(t, 303, r.StatusCode, r.body)
		draft := r.Header.Get("Location")
		r = s.get(draft)
		require.Contains(t, r.body, "Numbers are those printed beside the places.", name)
		given := url.Values{}
		for i, n := range places {
			require.Contains(t, r.body, fmt.Sprintf("Dose of drop %d</legend>", n), name)
			dye, amount := wax.Undyed, ""
			if i > 2 {
				dye, amount = "Bracken", []string{"0.1", "0.4", "1.5"}[i-3]
			}
			if fields["plan"] != "" && i > 2 {
				require.Contains(t, r.body, fmt.Sprintf(`name="amount-%d-0" inputmode="decimal" value="%s"`, n, amount), name)
			}
			given.Set(fmt.Sprintf("dye-%d-0", n), dye)
			given.Set(fmt.Sprintf("amount-%d-0", n), amount)
			given.Set(fmt.Sprintf("unit-%d-0", n), "g/kg")
		}
		r = s.follow(s.post(draft, given))
		require.Equal(t, 200, r.StatusCode, r.body)
		kept := s.swatches()
		require.Len(t, kept, len(places), name)
		for i, swatch := range kept {
			require.Equal(t, places[i], swatch.Drop, name)
			require.Equal(t, i > 2, len(swatch.Recipe) > 0, name)
		}
		require.Less(t, kept[5].Colour.Lab.L, kept[3].Colour.Lab.L-10, name)
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
