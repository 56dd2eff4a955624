package wax_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/wax"
)

// Common practice, no source: 15 % on 100 is 15, told per wax.
func TestFragrancePerWax(t *testing.T) {
	assert.InDelta(t, 15, wax.Load{Percent: 15, Per: wax.PerWax}.FragranceG(100), 1e-12)
}

// Per total, fragrance is its share of wax and fragrance together: 10 % of
// 100 g wants 11.11 g, since 11.11 / 111.11 = 10 %.
func TestFragrancePerTotal(t *testing.T) {
	for _, percent := range []float64{0, 1, 6, 10, 50} {
		load := wax.Load{Percent: percent, Per: wax.PerTotal}
		f := load.FragranceG(100)
		assert.InDelta(t, percent/100, f/(100+f), 1e-12)
	}
	assert.InDelta(t, 11.111, wax.Load{Percent: 10, Per: wax.PerTotal}.FragranceG(100), 1e-3)
}

func TestLoadsCompareOverConventions(t *testing.T) {
	perTotal := wax.Load{Percent: 10, Per: wax.PerTotal}
	perWax := wax.Load{Percent: 10, Per: wax.PerWax}
	assert.InDelta(t, 100.0/9, perTotal.PerWaxPercent(), 1e-12)
	assert.InDelta(t, 10, perWax.PerWaxPercent(), 1e-12)
	assert.Greater(t, perTotal.PerWaxPercent(), perWax.PerWaxPercent())
}

// A load never appears without saying what it is a share of.
func TestLoadSaysItsConvention(t *testing.T) {
	assert.Equal(t, "8 % of wax", wax.Load{Percent: 8, Per: wax.PerWax}.String())
	assert.Equal(t, "7.5 % of total", wax.Load{Percent: 7.5, Per: wax.PerTotal}.String())
}

func TestLoadValidation(t *testing.T) {
	for _, good := range []wax.Load{{0, wax.PerWax}, {50, wax.PerTotal}, {6.5, wax.PerWax}} {
		assert.NoError(t, good.Validate(), "%+v", good)
	}
	for name, bad := range map[string]wax.Load{
		"no convention":      {Percent: 8},
		"unknown convention": {8, "volume"},
		"negative":           {-1, wax.PerWax},
		"too much":           {51, wax.PerWax},
		"not a number":       {math.NaN(), wax.PerTotal},
		"infinite":           {math.Inf(1), wax.PerTotal},
	} {
		assert.Error(t, bad.Validate(), name)
	}
}
