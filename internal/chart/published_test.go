package chart

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
)

func table(t *testing.T, name string) [][]string {
	file, err := os.Open(filepath.Join("..", "..", "..", "shared", "refdata", "chart", name))
	if err != nil {
		t.Skip("the published chart values are not here")
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	return rows[1:]
}

func number(t *testing.T, text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return v
}

// The tables are the chart maker's published Lab for D50, in a copy of their own
// (shared/refdata/SOURCES.md).
func TestTablesAreAsPublished(t *testing.T) {
	rows := table(t, "cc24_reference_values_D50.csv")
	require.Len(t, rows, Patches)
	for i, row := range rows {
		for k := range 3 {
			assert.Equal(t, number(t, row[8+k]), before2014[i][k], row[1])
			assert.Equal(t, number(t, row[11+k]), after2014[i][k], row[1])
		}
	}
}

// reflectances are the mean of 30 charts (D. Pascale), made before November 2014.
func reflectances(t *testing.T) []spectrum.Spectrum {
	rows := table(t, "cc24_babelcolor_average_380_730_10nm.csv")
	out := make([]spectrum.Spectrum, Patches)
	for i := range out {
		for band := range out[i] {
			out[i][band] = number(t, rows[band][i+1])
		}
	}
	return out
}

// Under D65 against the reflectances, which need no adaptation. What is published for
// D50 lies up to 1.3 dE00 from them already (package spectrum tests that), with greys
// hardly changed by the light; adaptation adds to strong colours.
func TestColoursUnderD65ComeNearTheReflectances(t *testing.T) {
	measured := reflectances(t)
	for _, edition := range Editions() {
		var apart []float64
		for i, got := range edition.Colours() {
			apart = append(apart, spectrum.DE00(spectrum.D65.Lab(measured[i]), got))
		}
		greyest := slices.Max(apart[18:])
		slices.Sort(apart)
		t.Logf("charts made %s: median %.2f dE00 from the reflectances, worst %.2f, greys %.2f",
			edition.Made(), apart[Patches/2], apart[Patches-1], greyest)
		assert.Less(t, apart[Patches/2], 1.0)
		assert.Less(t, apart[Patches-1], 3.0)
		assert.Less(t, greyest, 1.5)
	}
}

// What adaptation alone leaves, as the comment of Colours says it.
func TestAdaptationIsALikeness(t *testing.T) {
	d50, d65 := spectrum.D50.White(), spectrum.D65.White()
	var off []float64
	for _, r := range reflectances(t) {
		off = append(off, spectrum.DE00(spectrum.D65.Lab(r), spectrum.D50.XYZ(r).Adapt(d50, d65).Lab(d65)))
	}
	worst := slices.Max(off)
	slices.Sort(off)
	t.Logf("adapted from D50 instead of seen under D65: median %.2f dE00, worst %.2f", off[Patches/2], worst)
	assert.InDelta(t, 0.5, off[Patches/2], 0.05)
	assert.InDelta(t, 1.4, worst, 0.05)
}

func TestEditions(t *testing.T) {
	assert.Equal(t, After2014, Editions()[0])
	for _, e := range Editions() {
		assert.True(t, e.IsKnown())
		assert.NotEmpty(t, e.Made())
	}
	unknown := Edition("1976")
	assert.False(t, unknown.IsKnown())
	assert.Panics(t, func() { unknown.Made() })
	assert.Panics(t, func() { unknown.Colours() })
}
