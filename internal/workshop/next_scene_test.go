package workshop

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// A dye seen in one drop is known worst, so the drop worth most is of it; what is
// proposed stays within its maximum.
func TestTheDyeKnownWorstComesNext(t *testing.T) {
	b := newBench(t, scene.NewWax(scene.Soy), 5, 2)
	ctx := context.Background()
	b.record(false, nil, b.one(0, 0.1), b.one(0, 0.3), b.one(0, 1), b.one(0, 2), b.one(0, 4), b.one(1, 0.5))
	scarce := b.shelf.Dyes[1].Name
	require.NoError(t, b.Store.Dyes.Update(ctx, scarce, wax.Dye{Name: scarce, Form: wax.Powder, MaxDoseGPerKg: 0.8}))
	_, err := b.Learn(ctx, "", nil)
	require.NoError(t, err)
	next, err := b.Next(ctx, "", []string{b.shelf.Dyes[0].Name + " 1 g/kg", scarce + " 0.7 g/kg"})
	require.NoError(t, err)
	require.NotEmpty(t, next.Drops)
	assert.Greater(t, next.Drops[0].Recipe.Dose(scarce), 0.0)
	assert.Equal(t, scarce, next.Drops[0].For[0].Dye)
	for i, d := range next.Drops {
		assert.LessOrEqual(t, d.Recipe.Dose(scarce), 0.8)
		assert.Greater(t, d.FallDE00, 0.0)
		if i > 0 {
			assert.LessOrEqual(t, d.FallDE00, next.Drops[i-1].FallDE00)
		}
	}
}

// A colour kept in daylight and lost under a lamp is said; one that is missed in
// daylight already is not said again, and the shade is its own best target.
func TestLightsAreHeldAgainstTheTarget(t *testing.T) {
	b := newBench(t, scene.NewWax(scene.Soy), 5, 2)
	ctx := context.Background()
	b.record(false, nil, b.one(0, 0.1), b.one(0, 0.4), b.one(0, 2), b.one(1, 0.1), b.one(1, 0.4), b.one(1, 2))
	_, err := b.Learn(ctx, "", nil)
	require.NoError(t, err)
	f, err := b.Predict(ctx, "", b.shelf.Dyes[0].Name+" 1 g/kg")
	require.NoError(t, err)
	model, _, err := b.learned(ctx, f.Wax)
	require.NoError(t, err)
	most := 0.0
	for _, l := range f.Piece.Lights {
		most = max(most, l.ShiftDE00)
	}
	require.Greater(t, most, 0.2)
	target := named{lab: f.Piece.Lab}
	assert.NotEmpty(t, offUnderLights(model, f.Piece, target, 0.9*most))
	assert.Empty(t, offUnderLights(model, f.Piece, target, 1.1*most))
	target.recipe, target.view.Thick = f.Recipe, true
	assert.Empty(t, offUnderLights(model, f.Piece, target, 0.01), "the same wax looks the same under every light")
	target = named{lab: spectrum.Lab{L: 20}}
	assert.Empty(t, offUnderLights(model, f.Piece, target, 0.1))
}
