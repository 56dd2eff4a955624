package workshop

import (
	"context"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Tints of 300 g: the portions are quarter chips of 0.125 g, the nearest to the
// dose, and the rounding told lies between the shades that Predict tells of both.
func TestALadderInWholePortions(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	l, err := w.Ladder(ctx, "", "undyed", "Bracken 4 chips/kg", 3, 300)
	require.NoError(t, err)
	require.Len(t, l.Rounded, 3)
	assert.Empty(t, l.Rounded[0].Dyes)
	for i, r := range l.Rounded[1:] {
		m := r.Dyes[0]
		asked := l.Tints[i+1].Recipe.Dose("Bracken") * 0.3
		assert.Equal(t, "chip", m.Unit)
		assert.InDelta(t, math.Round(asked/0.125)/4, m.Count, 1e-9, "tint %d", i+2)
		reached, err := w.Predict(ctx, "", "Bracken "+strconv.FormatFloat(m.G/0.3, 'f', -1, 64)+" g/kg")
		require.NoError(t, err)
		assert.InDelta(t, 0, spectrum.DE00(reached.Piece.Lab, r.Reached.Lab), 1e-6)
		assert.InDelta(t, spectrum.DE00(l.Tints[i+1].Lab, reached.Piece.Lab), r.RoundingDE00, 1e-6)
	}
}

// What rounding left in the pot is made up for: the dye in the pot of a layer is
// what was added until then without what was poured, and never farther from what
// was asked than half of a quarter chip, 0.0625 g.
func TestABlendInWholePortionsKeepsAccountOfTheDye(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	b, err := w.Blend(ctx, Layers{Load: wax.Load{Per: wax.PerWax}, Pours: []string{"Bracken 0.9 g/kg x 300 g", "Bracken 1.6 g/kg x 300 g", "Bracken 2.9 g/kg x 300 g"}})
	require.NoError(t, err)
	require.Len(t, b.Measured, 3)
	inPot := 0.0
	for i, s := range b.Steps {
		m := b.Measured[i]
		if i > 0 {
			before := b.Steps[i-1]
			inPot *= 1 - before.Pour.UndyedG/before.Pot.UndyedG
		}
		require.Len(t, m.Adds, 1)
		inPot += m.Adds[0].G
		assert.InDelta(t, 0, math.Remainder(m.Adds[0].G, 0.125), 1e-9, "quarter chips")
		assert.InDelta(t, inPot, m.Reached.Dose("Bracken")*s.Pot.UndyedG/1000, 1e-9)
		assert.InDelta(t, s.Pot.DyeG(), inPot, 0.0625+1e-9)
		assert.InDelta(t, spectrum.DE00(b.Shades[i].Lab, m.Shade.Lab), m.RoundingDE00, 1e-12)
	}
}

// Dark to pale nothing is added, and what rounding did to the first layer stays.
func TestDilutionKeepsTheRoundingOfTheFirstLayer(t *testing.T) {
	w, ctx := benchOf(t), context.Background()
	b, err := w.Blend(ctx, Layers{Load: wax.Load{Per: wax.PerWax}, Pours: []string{"Bracken 2 g/kg x 100 g", "Bracken 1 g/kg x 200 g"}})
	require.NoError(t, err)
	assert.Empty(t, b.Measured[1].Adds)
	first := b.Measured[0].Reached.Dose("Bracken")
	assert.InDelta(t, first/2, b.Measured[1].Reached.Dose("Bracken"), 1e-9, "one part undyed to one part dyed halves every dose (common practice, no source)")
}
