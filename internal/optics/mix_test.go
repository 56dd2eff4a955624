package optics_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/optics"
	"setshade/internal/spectrum"
)

func mixed(t *testing.T, base optics.Colorant, dyes []optics.Colorant, doses []float64) spectrum.Spectrum {
	t.Helper()
	ks, err := optics.MixKS(base, dyes, doses)
	require.NoError(t, err)
	return ks
}

// Duncan 1940, two-constant theory, worked by hand.
func TestMixKSByHand(t *testing.T) {
	base := optics.Colorant{K: spectrum.Flat(0.02), S: spectrum.Flat(2)}
	dye := optics.Colorant{K: spectrum.Sample(func(nm float64) float64 { return nm / 1000 })}
	mica := optics.Colorant{K: spectrum.Flat(0.1), S: spectrum.Flat(0.5)}
	dyes := []optics.Colorant{dye, mica}

	undyed := mixed(t, base, nil, nil)
	assert.InDelta(t, 0.01, undyed[0], 1e-15)

	dyed := mixed(t, base, dyes[:1], []float64{2})
	assert.InDelta(t, (0.02+2*0.38)/2, dyed[0], 1e-15, "dye that only absorbs adds to K")
	assert.InDelta(t, (0.02+2*0.73)/2, dyed[spectrum.Bands-1], 1e-15, "band by band")

	both := mixed(t, base, dyes, []float64{2, 4})
	assert.InDelta(t, (0.02+2*0.38+4*0.1)/(2+4*0.5), both[0], 1e-15, "mica adds to S too")
	assert.Equal(t, spectrum.Flat(0.02), base.K, "the base is left as it was")
}

// One part undyed to one part dyed halves every dose (common practice, no
// source): mixing the bases and mixing the doses are the same.
func TestMixKSOfDilution(t *testing.T) {
	base := optics.Colorant{K: spectrum.Flat(0.02), S: spectrum.Flat(2)}
	dye := []optics.Colorant{{K: spectrum.Flat(0.7)}}
	dyed := mixed(t, base, dye, []float64{3})
	diluted := mixed(t, base, dye, []float64{1.5})
	assert.InDelta(t, (0.01+dyed[7])/2, diluted[7], 1e-15)
}

func TestMixKSRefusesMissingDoses(t *testing.T) {
	assert.PanicsWithValue(t, "optics: every dye of a mixture needs one dose", func() {
		optics.MixKS(optics.Colorant{S: spectrum.Flat(1)}, make([]optics.Colorant, 2), []float64{1})
	})
}
