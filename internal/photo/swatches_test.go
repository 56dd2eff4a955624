package photo_test

import (
	"encoding/csv"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/photo"
	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/swatches"
)

// truthOf reads the true colours and radii of the drops of the rendered demo cards, by photograph and
// in order of drop.
func truthOf(t *testing.T) (colours map[string][]spectrum.Lab, radiiPx map[string][]float64) {
	file, err := os.Open(filepath.Join("..", "..", "swatches", "truth.csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	colours, radiiPx = map[string][]spectrum.Lab{}, map[string][]float64{}
	for _, row := range rows[1:] {
		var v [3]float64
		for k := range v {
			v[k], err = strconv.ParseFloat(row[3+k], 64)
			require.NoError(t, err)
		}
		radius, err := strconv.ParseFloat(row[8], 64)
		require.NoError(t, err)
		colours[row[0]] = append(colours[row[0]], spectrum.LabOf(v))
		radiiPx[row[0]] = append(radiiPx[row[0]], radius)
	}
	return colours, radiiPx
}

// TestReadDemoCards reads every photograph of the demo as its plan says.
// Colours that the file cannot hold must be noted, and are counted apart.
func TestReadDemoCards(t *testing.T) {
	t.Parallel()
	truth, radii := truthOf(t)
	var sizes []float64
	names, err := fs.Glob(swatches.Files, "*.jpg")
	require.NoError(t, err)
	require.Len(t, truth, len(names))
	var held, cut []float64
	for _, name := range names {
		name = strings.TrimSuffix(name, path.Ext(name))
		picture, err := swatches.Files.ReadFile(name + ".jpg")
		require.NoError(t, err)
		text, err := swatches.Files.ReadFile(name + ".plan")
		require.NoError(t, err)
		p, err := plan.Parse(string(text))
		require.NoError(t, err)
		r, err := photo.Read(picture, photo.Expect{
			Drops: len(p.Drops), Rows: p.Rows, Card: p.Card, Liquid: p.State == "liquid",
		})
		if !assert.NoError(t, err, name) {
			continue
		}
		require.Len(t, r.Drops, len(truth[name]), name)
		assert.NotRegexp(t, "shadow|blurred|under-exposed|compression|noisy", strings.Join(r.Notes, " "), "good photographs are not blamed: %s", name)
		for i, d := range r.Drops {
			sizes = append(sizes, d.DiameterPx/2/radii[name][i])
			e := spectrum.DE00(d.Colour.Lab, truth[name][i])
			if outsideSRGB(truth[name][i]) && noted(d, "colour space") {
				cut = append(cut, e)
				continue
			}
			held = append(held, e)
			t.Logf("%-20s %d dE00 %.2f", name, d.Number, e)
		}
	}
	slices.Sort(sizes)
	t.Logf("diameter over true: median %.3f, %.3f to %.3f", sizes[len(sizes)/2], sizes[0], sizes[len(sizes)-1])
	slices.Sort(held)
	slices.Sort(cut)
	n := len(held)
	t.Logf("%d drops: dE00 median %.2f, 95 %% %.2f, worst %.2f; outside sRGB %d: %.1f", n, held[n/2], held[n*95/100], held[n-1], len(cut), cut)
	assert.LessOrEqual(t, held[n/2], 0.7)
	assert.LessOrEqual(t, held[n*95/100], 1.5)
}
