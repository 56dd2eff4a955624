package workshop

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/scene"
	"setshade/internal/spectrum"
)

// phone is a camera whose three channels are bells, invented, under a black body of a
// temperature by Planck's law.
func phone(kelvin float64) *scene.Sensor {
	bell := func(at, width float64) spectrum.Spectrum {
		return spectrum.Sample(func(nm float64) float64 { x := (nm - at) / width; return math.Exp(-x * x / 2) })
	}
	lamp := spectrum.Sample(func(nm float64) float64 {
		const c2 = 1.4388e7 // nm K (CODATA 2018, rounded)
		return math.Pow(nm/560, -5) / math.Expm1(c2/(nm*kelvin))
	})
	return &scene.Sensor{Red: bell(600, 38), Green: bell(538, 44), Blue: bell(458, 30), Lamp: lamp}
}

// A strip can be moved onto its anchor nearly wholly under any lamp, drops of dyes
// cannot: how far it had to be moved tells how far they may be off.
func TestAnotherLightThanTheAnchorsIsTold(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, scene.NewWax(scene.Soy), 1, 3)
	first, _ := b.printed(scene.Options{Sensor: phone(6500)})
	anchor, err := b.Record(ctx, first)
	require.NoError(t, err)
	for name, c := range map[string]struct {
		o    scene.Options
		told bool
	}{
		"the same light": {scene.Options{Sensor: phone(6500), ToneCurve: 0.4, RotationDegrees: 170}, false},
		"a warm bulb":    {scene.Options{Sensor: phone(2700)}, true},
	} {
		shot, truth := b.printed(c.o)
		r, err := b.Read(ctx, shot)
		require.NoError(t, err, name)
		off := apart(anchor.Swatches, r.Swatches, truth)
		median := off[len(off)/2]
		t.Logf("%-14s left %.2f, moved %.2f; drops %.2f off", name, r.Correction.MedianDE00, r.seen.Correction.MixedDE00, median)
		assert.Equal(t, c.told, hasNote(r.Notes, "another kind of light, or by another camera"), "%s: %v", name, r.Notes)
		assert.Equal(t, c.told, median > 1, name)
		assert.Less(t, r.Correction.MedianDE00, 0.3, "%s: what is left does not tell", name)
	}
}
