package spectrum_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
)

// IEC 61966-2-1 primaries in CIELAB under D65, as widely published (Lindbloom's
// calculator; from memory).
func TestPrimariesInLab(t *testing.T) {
	for hex, want := range map[string]spectrum.Lab{
		"#ff0000": lab(53.24, 80.09, 67.20),
		"#00ff00": lab(87.73, -86.18, 83.18),
		"#0000ff": lab(32.30, 79.19, -107.86),
		"#ffffff": lab(100, 0, 0),
		"#000000": lab(0, 0, 0),
		"#777777": lab(50.03, 0, 0),
	} {
		got, err := spectrum.LabOfHex(hex)
		require.NoError(t, err)
		assert.InDeltaSlice(t, vector(want), vector(got), 0.02, hex)
	}
}

func TestHexRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for range 5000 {
		hex := fmt.Sprintf("#%06x", rng.IntN(1<<24))
		c, err := spectrum.LabOfHex(hex)
		require.NoError(t, err)
		assert.Equal(t, hex, c.Hex())
		assert.False(t, c.Display().Clipped, hex)
	}
}

// IEC 61966-2-1: linear 0.5 is encoded as 188, and 128 stands for ((128/255 +
// 0.055) / 1.055)^2.4 = 0.2159.
func TestLinearLight(t *testing.T) {
	assert.Equal(t, "#bcbcbc", spectrum.LabOfLinear(0.5, 0.5, 0.5).Hex())
	assert.Equal(t, "#808080", spectrum.LabOfLinear(0.2159, 0.2159, 0.2159).Hex())
}

func TestColoursOutsideTheScreenSaySo(t *testing.T) {
	for name, c := range map[string]struct {
		colour  spectrum.Lab
		clipped bool
	}{
		"grey":                {lab(50, 0, 0), false},
		"white":               {lab(100, 0, 0), false},
		"whiter than white":   {lab(103, 0, 0), true},
		"saturated turquoise": {lab(60, -70, -20), true},
		"saturated yellow":    {lab(85, 0, 120), true},
		"a full red":          {lab(53, 79, 66), false},
	} {
		assert.Equal(t, c.clipped, c.colour.Display().Clipped, name)
	}
}

func TestLabOfHexRefusals(t *testing.T) {
	for _, hex := range []string{"", "banana", "#12345", "#gg0000", "d8a49b", "#d8a49b0"} {
		_, err := spectrum.LabOfHex(hex)
		assert.ErrorContains(t, err, "is not a display colour", "%q", hex)
	}
	c, err := spectrum.LabOfHex("#D8A49B")
	require.NoError(t, err)
	assert.Equal(t, "#d8a49b", c.Hex(), "capitals are understood")
	assert.NotPanics(t, func() { lab(math.NaN(), 0, 0).Hex() })
}
