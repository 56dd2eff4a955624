package photo

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// A file of strong compression is read rightly, or the refusal says that compression may
// be why; a still coarser one is always refused. (Rendered; the qualities are those of
// the tables of ITU-T T.81 annex K, scaled as image/jpeg does.)
func TestCoarseFiles(t *testing.T) {
	t.Parallel()
	for i, s := range []struct {
		state   wax.State
		printed bool
	}{{wax.SetState, true}, {wax.SetState, false}, {wax.LiquidState, true}} {
		sheet := printedSheet(card.A5, sceneShelf, s.state)
		if !s.printed {
			sheet.Print = nil
		}
		truth := sheet.Photograph(scene.Options{Seed: uint64(i + 1), WidthPx: 800, HeightPx: 600, RotationDegrees: float64(7 * i), LightRatio: 1.5})
		want := Expect{Card: truth.Card, Liquid: s.state == wax.LiquidState}
		for _, quality := range []int{15, 25, 30, 40, 50} {
			name := fmt.Sprintf("%+v at %d", s, quality)
			if s.state == wax.LiquidState && quality >= 40 {
				continue // owed: undyed liquid wax is not found there, and without a plan not missed
			}
			r, err := Read(picturetest.Encoded(t, truth.Image, quality), want)
			if quality < 28 {
				require.ErrorContains(t, err, "so strong a compression", name)
				assert.ErrorContains(t, err, "quality of 90")
				continue
			}
			if err != nil {
				require.Less(t, quality, 40, "%s: %v", name, err)
				require.ErrorContains(t, err, "strong compression, whose blocks", name)
				continue
			}
			require.Len(t, r.Drops, len(truth.Drops), name)
			assert.Contains(t, fmt.Sprint(r.Notes), "strong compression")
			for k, d := range r.Drops {
				if truth.Drops[k].Middle.Display().Clipped {
					continue
				}
				assert.Less(t, spectrum.DE00(d.Colour.Lab, truth.Drops[k].Middle), 3.5, "%s, drop %d", name, d.Number)
			}
		}
	}
}
