package cli

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/chart"
	"setshade/internal/spectrum"
)

// A real photograph of the chart, taken with a telephone (see SOURCES.md beside it):
// patches matched as a maker would, by the published colours, are wanted within the
// median dE00 of 2 that is owed to such photographs. The middles of the patches are by
// eye. The dyes of Harrow Lane Wax, which are invented, only stand by.
func TestMatchOnARealChart(t *testing.T) {
	picture, err := filepath.Abs(filepath.Join("..", "..", "..", "shared", "refdata", "photos", "chart_on_white.jpg"))
	require.NoError(t, err)
	if _, err := os.Stat(picture); err != nil {
		t.Skip("the photographs of charts are not here")
	}
	b := newBench(t)
	for _, args := range [][]string{
		{"wax", "add", "Harrow Soy"}, {"dye", "add", "Foxglove", "--form", "powder"},
		{"record", filepath.Join("..", "..", "swatches", "foxglove-set.jpg")}, {"learn"},
	} {
		require.Zero(t, b.run(args...), b.err.String())
	}
	wanted := func(at string, flags ...string) (spectrum.Lab, string) {
		args := append([]string{"match", "--json", "--answers", "1", "--photo", picture, "--at", at}, flags...)
		require.Zero(t, b.run(args...), b.err.String())
		var told struct {
			Wanted struct{ Lab spectrum.Lab }
			Notes  []string
		}
		require.NoError(t, json.Unmarshal([]byte(b.out.String()), &told))
		return told.Wanted.Lab, fmt.Sprint(told.Notes)
	}
	var misses []float64
	for patch, published := range chart.After2014.Colours() {
		if patch%5 != 0 { // each read costs a search for the chart
			continue
		}
		column, row := float64(patch%6), float64(patch/6)
		lab, notes := wanted(fmt.Sprintf("%.0f,%.0f,4", 69+row*(241-69)/3, 378+column*(91-378)/5), "--chart", "published")
		misses = append(misses, spectrum.DE00(published, lab))
		assert.Contains(t, notes, "the chart's colours are those published for charts made from November 2014 on")
		assert.Contains(t, notes, "set right by the chart, which leaves 1.")
	}
	t.Logf("dE00 of patches from their published colours: %.1f", misses)
	slices.Sort(misses)
	assert.LessOrEqual(t, misses[len(misses)/2], 2.0)
}
