package photo_test

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/photo"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// The same cards photographed by a camera that writes sRGB and by one that writes
// Display P3. In the wider space strong drops are not cut off, so all count.
func TestAccuracyOfRenderedCardsInDisplayP3(t *testing.T) {
	t.Parallel()
	soy := scene.NewWax(scene.Soy)
	errors := map[scene.Profile][]float64{}
	for seed := uint64(11); seed <= 12; seed++ {
		shelf := scene.RandomShelf(soy, seed, 3)
		rows, want := ladders(shelf)
		sheet := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: wax.SetState, Rows: rows}
		for _, profile := range []scene.Profile{scene.SRGB, scene.DisplayP3} {
			truth := sheet.Photograph(scene.Options{Seed: seed, Profile: profile, RotationDegrees: 4, TiltDegrees: 8, LightRatio: 1.3, WidthPx: 1200, HeightPx: 900})
			var file bytes.Buffer
			require.NoError(t, truth.WriteJPEG(&file, 90))
			want.Card = truth.Card
			r, err := photo.Read(file.Bytes(), want)
			require.NoError(t, err)
			for i, d := range r.Drops {
				errors[profile] = append(errors[profile], spectrum.DE00(d.Colour.Lab, truth.Drops[i].Middle))
			}
		}
	}
	for profile, name := range map[scene.Profile]string{scene.SRGB: "sRGB", scene.DisplayP3: "Display P3"} {
		list := errors[profile]
		slices.Sort(list)
		n := len(list)
		t.Logf("%-10s %d drops, none left out: dE00 median %.2f, 95 %% %.2f, worst %.2f", name, n, list[n/2], list[n*95/100], list[n-1])
	}
	list := errors[scene.DisplayP3]
	assert.LessOrEqual(t, list[len(list)/2], 0.7)
	assert.LessOrEqual(t, list[len(list)*95/100], 1.5)
}

var update = flag.Bool("update", false, "make the HEIC of the rendered card again, with heif-enc")

// heicCard is the card of picture/testdata/card.heic: rendered, not photographed, written
// in Display P3, and turned into HEIC by heif-enc (libheif), since nothing in Go
// writes HEIC.
func heicCard() (scene.Photo, photo.Expect) {
	shelf := scene.RandomShelf(scene.NewWax(scene.Soy), 21, 2)
	rows, want := ladders(shelf)
	sheet := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: wax.SetState, Rows: rows}
	card := sheet.Photograph(scene.Options{Seed: 21, Profile: scene.DisplayP3, RotationDegrees: -6, TiltDegrees: 7, WidthPx: 750, HeightPx: 500, Noise: 0.3})
	want.Card = card.Card
	return card, want
}

// The HEIC reads as the same picture does as JPEG of the highest quality. Its two
// darkest drops lie beyond Display P3 too, so their distance from the truth is not
// the file's fault.
func TestReadHEICOfARenderedCard(t *testing.T) {
	t.Parallel()
	card, want := heicCard()
	name := filepath.Join("..", "picture", "testdata", "card.heic")
	if *update {
		writeHEIC(t, card, name)
	}
	data, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Less(t, len(data), 60<<10)
	r, err := photo.Read(data, want)
	require.NoError(t, err)
	assert.Contains(t, r.Notes[0], "Display P3")
	var file bytes.Buffer
	require.NoError(t, card.WriteJPEG(&file, 100))
	same, err := photo.Read(file.Bytes(), want)
	require.NoError(t, err)
	var fromTruth, fromSame []float64
	for i, d := range r.Drops {
		fromTruth = append(fromTruth, spectrum.DE00(d.Colour.Lab, card.Drops[i].Middle))
		fromSame = append(fromSame, spectrum.DE00(d.Colour.Lab, same.Drops[i].Colour.Lab))
	}
	slices.Sort(fromTruth)
	n := len(fromTruth)
	t.Logf("%d drops: dE00 from the truth median %.2f, worst %.2f; from the JPEG worst %.2f", n, fromTruth[n/2], fromTruth[n-1], slices.Max(fromSame))
	assert.LessOrEqual(t, fromTruth[n/2], 0.7)
	assert.LessOrEqual(t, slices.Max(fromSame), 0.5)
}

// writeHEIC goes by way of a JPEG, which carries the profile.
func writeHEIC(t *testing.T, card scene.Photo, to string) {
	from := filepath.Join(t.TempDir(), "card.jpg")
	var file bytes.Buffer
	require.NoError(t, card.WriteJPEG(&file, 100))
	require.NoError(t, os.WriteFile(from, file.Bytes(), 0o600))
	out, err := exec.Command("heif-enc", "-q", "72", "-o", to, from).CombinedOutput()
	require.NoError(t, err, "%s", out)
}
