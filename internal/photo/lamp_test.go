package photo_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/photo"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// underLight photographs ladders of two dyes on the printed card under a black body.
func underLight(t *testing.T, kelvin float64, seed uint64) (scene.Photo, photo.Expect, []byte) {
	t.Helper()
	g := card.Layout(card.A5)
	shelf := scene.RandomShelf(scene.NewWax(scene.Soy), seed, 2)
	var rows [][]wax.Recipe
	for _, d := range shelf.Dyes {
		row := []wax.Recipe{nil}
		for _, dose := range []float64{0.1, 0.3, 1} {
			row = append(row, wax.Recipe{{Dye: d.Name, DoseGPerKg: dose}})
		}
		rows = append(rows, row)
	}
	truth := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: wax.SetState, Rows: rows, Print: &g}.
		Photograph(scene.Options{Seed: seed, Kelvin: kelvin, WidthPx: 800, HeightPx: 600})
	var file bytes.Buffer
	require.NoError(t, truth.WriteJPEG(&file, 92))
	return truth, photo.Expect{Rows: []int{4, 4}, Card: truth.Card}, file.Bytes()
}

func tellsOfALamp(notes []string) bool {
	return slices.ContainsFunc(notes, func(n string) bool { return strings.Contains(n, "as under a warm lamp") })
}

// A warm lamp shows in what the camera leaves of its colour on the card, and is told
// whatever the colours are set right by, since nothing takes away what it does to dyes.
// Daylight from 5000 to 6500 K, the range of D50 to D65 (CIE 15), is never told of.
func TestRenderedLampIsTold(t *testing.T) {
	t.Parallel()
	off := map[string][]float64{}
	day, _, _ := underLight(t, 0, 1) // its strip is that of all
	for seed := range uint64(2) {
		for _, kelvin := range []float64{2700, 5000} {
			truth, plain, file := underLight(t, kelvin, seed)
			measured, anchored := plain, plain
			measured.Reference, anchored.Anchor = day.Strip, day.Strip
			for name, want := range map[string]photo.Expect{"white": plain, "measured strip": measured, "anchor in daylight": anchored} {
				r, err := photo.Read(file, want)
				require.NoError(t, err)
				assert.Equal(t, kelvin == 2700, tellsOfALamp(r.Notes), "%g K, %s: %v", kelvin, name, r.Notes)
				assert.Equal(t, kelvin == 2700, r.UnderLamp != "", "%g K, %s", kelvin, name)
				for i, d := range r.Drops {
					if !truth.Drops[i].Middle.Display().Clipped {
						by := fmt.Sprintf("%.0f K by %s", kelvin, name)
						off[by] = append(off[by], spectrum.DE00(d.Colour.Lab, truth.Drops[i].Middle))
					}
				}
			}
		}
	}
	for by, list := range off {
		slices.Sort(list)
		n := len(list)
		t.Logf("%-32s %d drops: dE00 median %.1f, 95 %% %.1f, worst %.1f", by, n, list[n/2], list[n*95/100], list[n-1])
		if strings.HasPrefix(by, "2700") {
			assert.Greater(t, list[n/2], 1.0, "%s: what is told is true", by)
		}
	}
}
