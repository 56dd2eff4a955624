package workshop

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func TestMissesOf(t *testing.T) {
	assert.Equal(t, Misses{}, missesOf(nil))
	assert.Equal(t, Misses{1, 0.4, 0.4}, missesOf([]float64{0.4}))
	odd := []float64{3, 1, 2}
	assert.Equal(t, Misses{3, 2, 3}, missesOf(odd))
	assert.Equal(t, []float64{3, 1, 2}, odd, "what was passed in is left in its order")
	assert.Equal(t, Misses{4, 2.5, 9}, missesOf([]float64{9, 1, 3, 2}))
}

// A mixture counts for each of its dyes, a drop never left out for none.
func TestLeftOutCountsTheDropsOfADye(t *testing.T) {
	left := func(de00 float64) calibrate.DropFit { return calibrate.DropFit{LeftOutDE00: &de00} }
	bracken, sorrel := wax.Part{Dye: "Bracken", DoseGPerKg: 1}, wax.Part{Dye: "Sorrel", DoseGPerKg: 2}
	weaker, stronger := wax.Part{Dye: "Bracken", DoseGPerKg: 0.5}, wax.Part{Dye: "Sorrel", DoseGPerKg: 4}
	l := Lesson{
		Model: &calibrate.Model{Drops: []calibrate.DropFit{left(9), left(1), left(2), {}}},
		Drops: []wax.Swatch{{}, {Recipe: wax.Recipe{bracken}}, {Recipe: wax.Recipe{weaker, sorrel}}, {Recipe: wax.Recipe{stronger}}},
	}
	assert.Equal(t, Misses{2, 1.5, 2}, l.LeftOut("Bracken"))
	assert.Equal(t, Misses{1, 2, 2}, l.LeftOut("Sorrel"))
	assert.Equal(t, Misses{}, l.LeftOut("Foxglove"))

	// Two drops of one dose foretell each other and no other dose.
	l.Drops = []wax.Swatch{{}, {Recipe: wax.Recipe{bracken}}, {Recipe: wax.Recipe{bracken}}, {}}
	assert.True(t, l.OneDose("Bracken"))
	assert.Equal(t, Misses{}, l.LeftOut("Bracken"))
}

func TestChecksAreCounted(t *testing.T) {
	l := Lesson{Checks: []Check{{MissDE00: 0.5, Within95: 1}, {MissDE00: 1.5, Within95: 1}, {MissDE00: 1, Within95: 1}}}
	assert.Equal(t, 2, l.ChecksHeld())
	assert.Equal(t, Misses{3, 1, 1.5}, l.CheckMisses())
}

// A drop half on the black bar is fitted twice, and each fit stands beside what it was
// fitted to.
func TestDropsOnTheBarStandBesideBothFits(t *testing.T) {
	over, bar := spectrum.Measured{Lab: spectrum.Lab{L: 40}}, spectrum.Lab{L: 20}
	swatches := []wax.Swatch{
		{ID: 7, Colour: spectrum.Measured{Lab: spectrum.Lab{L: 70}}, OverBlack: &over, Bar: &bar},
		{ID: 9},
	}
	m := &calibrate.Model{Drops: []calibrate.DropFit{{ID: 7}, {ID: 7}, {ID: 9}}}
	l, err := lesson(wax.Wax{}, m, swatches)
	require.NoError(t, err)
	require.Len(t, l.Drops, 3)
	assert.Equal(t, swatches[0], l.Drops[0])
	assert.Equal(t, over, l.Drops[1].Colour)
	assert.Equal(t, bar, l.Drops[1].Card)
	assert.Equal(t, swatches[1], l.Drops[2])
}
