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
	"setshade/internal/wax"
)

// ofAPrint photographs six undyed drops on a numbered print.
func ofAPrint(t *testing.T, number int, printer *scene.Printer, o scene.Options) (scene.Photo, []byte) {
	t.Helper()
	g := card.LayoutOfPrint(card.A5, number)
	o.Seed, o.WidthPx, o.HeightPx = 2, 1000, 750
	row := make([]wax.Recipe, 6)
	photo := scene.Sheet{
		Shelf: scene.RandomShelf(scene.NewWax(scene.Soy), 1, 1), Card: scene.WhiteCard(), State: wax.SetState,
		Rows: [][]wax.Recipe{row}, Print: &g, Printer: printer,
	}.Photograph(o)
	var file bytes.Buffer
	require.NoError(t, photo.WriteJPEG(&file, 85))
	return photo, file.Bytes()
}

func tellsOfAnotherPrinter(r photo.Reading) bool {
	return slices.ContainsFunc(r.Notes, func(note string) bool {
		return strings.Contains(note, "another printer, ink or paper") || strings.Contains(note, "whether the card is of another print")
	})
}

// The number of a print is read at any turn and from the side.
func TestPrintNumberIsRead(t *testing.T) {
	t.Parallel()
	for i, number := range []int{1, 2, 21, card.LastPrint} {
		t.Run(fmt.Sprint(number), func(t *testing.T) {
			t.Parallel()
			truth, file := ofAPrint(t, number, nil, scene.Options{RotationDegrees: float64(100 * i), TiltDegrees: float64(10 * i)})
			r, err := photo.Read(file, photo.Expect{Drops: 6, Card: truth.Card})
			require.NoError(t, err)
			assert.Equal(t, number, r.Printed.PrintNumber)
		})
	}
}

// A card of another printer under the number of the first one is told from a card
// of that one by another camera in another light.
func TestAnotherPrinterUnderTheSameNumber(t *testing.T) {
	t.Parallel()
	lamp := scene.Options{Kelvin: 2700, ToneCurve: 0.3, LightRatio: 2, TiltDegrees: 15}
	first, _ := ofAPrint(t, 1, nil, scene.Options{})
	for seed := range uint64(5) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			var printer *scene.Printer // of the first card
			if seed > 0 {
				printer = scene.RandomPrinter(seed)
			}
			for name, o := range map[string]scene.Options{"daylight": {}, "lamp": lamp} {
				_, file := ofAPrint(t, 1, printer, o)
				r, err := photo.Read(file, photo.Expect{Drops: 6, Card: first.Card, Anchor: first.Strip})
				require.NoError(t, err)
				assert.Equal(t, seed > 0, tellsOfAnotherPrinter(r), "%s: %+v", name, r.Correction)
			}
		})
	}
}
