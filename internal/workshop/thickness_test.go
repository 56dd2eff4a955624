package workshop

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/card"
	"setshade/internal/plan"
	"setshade/internal/scene"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// dropG is what a drop of the scene weighs: its height is (1 - ρ³)^0.55 of that of its
// middle, which is nobody's theory of drops.
func dropG(radiusMM, thicknessMM float64) float64 {
	const steps = 10000
	mean := 0.0
	for i := range steps {
		rho := (float64(i) + 0.5) / steps
		mean += 2 * rho * math.Pow(1-rho*rho*rho, 0.55) / steps
	}
	return 0.9e-3 * mean * math.Pi * radiusMM * radiusMM * thicknessMM
}

// Two printed cards, of wide thin drops and of small thick ones, whose masses are in
// their plans. Read from their photographs, the thickness of each drop is known to
// 15 %, and thick shades are nearer to radiative transfer than without the masses.
func TestAccuracyOfThickShadesByTheMassOfDrops(t *testing.T) {
	t.Skip("owed: an undyed drop ten millimetres in radius and one high is not found; it is refused by name")
	b := newBench(t, scene.NewWax(scene.WaxOptics{
		RefractiveIndex: 1.44, Asymmetry: 0.7, ScatteringPerMM: 18, ScatteringPower: 0.6, AbsorptionPerMM: 0.006, CreamNM: 120,
	}), 5, 2)
	ctx := context.Background()
	base, err := b.Store.Waxes.Get(ctx, "Harrow Soy")
	require.NoError(t, err)
	g := card.Layout(card.A5)
	for i, size := range []struct{ radiusMM, thicknessMM float64 }{{9.8, 0.8}, {7.5, 2}} {
		sheet := scene.Sheet{Shelf: b.shelf, Card: scene.WhiteCard(), State: wax.SetState, Print: &g, RadiusMM: size.radiusMM, ThicknessMM: size.thicknessMM}
		p := plan.Plan{Wax: "Harrow Soy", State: wax.SetState, MassG: dropG(size.radiusMM, size.thicknessMM), Rows: []int{4, 4}}
		for dye := range 2 {
			row := []wax.Recipe{nil, b.one(dye, 0.1), b.one(dye, 0.4), b.one(dye, 1.2)}
			sheet.Rows = append(sheet.Rows, row)
			p.Drops = append(p.Drops, plan.Drop{Number: 4*dye + 1})
			for k, recipe := range row[1:] {
				p.Drops = append(p.Drops, plan.Drop{Number: 4*dye + k + 2, Parts: []plan.Amount{{Dye: recipe[0].Dye, Value: recipe[0].DoseGPerKg, Unit: plan.Gram}}})
			}
		}
		picture := sheet.Photograph(scene.Options{Seed: uint64(i + 3), WidthPx: 1200, HeightPx: 900, Jitter: -1})
		p.Card = picture.Card
		var file bytes.Buffer
		require.NoError(t, picture.WriteJPEG(&file, 92))
		read, err := b.Record(ctx, Card{PhotoName: fmt.Sprintf("%d.jpg", i), PlanName: "drops.plan", Photo: file.Bytes(), PlanText: plan.Format(p)})
		require.NoError(t, err)
		assert.Contains(t, read.Notes[len(read.Notes)-1], "by mass and diameter the drops are about ")
		for _, s := range read.Swatches {
			assert.InEpsilon(t, size.thicknessMM, base.DropThicknessMM(s.MassG, s.DiameterMM), 0.15, "drop %d, %g mm wide", s.Drop, s.DiameterMM)
		}
	}
	_, err = b.Learn(ctx, "", nil)
	require.NoError(t, err)
	told, _, err := b.learned(ctx, base)
	require.NoError(t, err)
	swatches, err := b.Store.Swatches(ctx, store.Filter{})
	require.NoError(t, err)
	for i := range swatches {
		swatches[i].MassG = 0
	}
	untold, err := calibrate.Learn(base, calibrate.SamplesOf(base, swatches))
	require.NoError(t, err)

	misses := map[*calibrate.Model][]float64{}
	for dye := range 2 {
		for _, dose := range []float64{0.1, 0.2, 0.4, 0.8, 1.2} {
			truth := spectrum.D65.Lab(b.shelf.ThickReflectance(b.one(dye, dose)))
			for _, m := range []*calibrate.Model{told, untold} {
				s, err := shade.Of(m, b.one(dye, dose), calibrate.View{Thick: true})
				require.NoError(t, err)
				misses[m] = append(misses[m], spectrum.DE00(s.Lab, truth))
			}
		}
	}
	slices.Sort(misses[told])
	slices.Sort(misses[untold])
	perMM, spread, _ := told.HidingPerMM()
	t.Logf("thick shades with masses: median %.2f, worst %.2f; without: %.2f, %.2f; hiding %.1f per mm (log ±%.2f)",
		misses[told][5], misses[told][9], misses[untold][5], misses[untold][9], perMM, spread)
	assert.LessOrEqual(t, misses[told][5], 0.8)
	assert.Less(t, misses[told][9], misses[untold][9])
	assert.Less(t, misses[told][5], misses[untold][5])
}
