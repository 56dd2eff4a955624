package photo

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/picture"
	"setshade/internal/spectrum"
)

// A camera that takes none of the light's colour away shows D50 (CIE 15) as yellow as
// its chromaticity 0.3457, 0.3585 comes out in the matrix of IEC 61966-2-1: log(1.176 /
// 0.722). A camera that balances white does not.
func TestWhatTellsOfALamp(t *testing.T) {
	assert.InDelta(t, 0.488, warmestDaylight, 0.005)
	const leftOfABulb = 0.43 // of 3500 K, rendered
	for name, c := range map[string]struct {
		warm  float64
		file  picture.Lit
		tells string
	}{
		"D50 as it is":          {warmestDaylight - 1e-9, picture.Lit{}, ""},
		"beyond":                {0.6, picture.Lit{}, "looks yellow"},
		"a bulb":                {leftOfABulb, picture.Lit{}, ""},
		"a bulb, balanced":      {leftOfABulb, picture.Lit{Balanced: true}, "looks yellow"},
		"daylight, balanced":    {0.2, picture.Lit{Balanced: true}, ""},
		"shade":                 {-0.5, picture.Lit{Balanced: true}, ""},
		"taken away, and named": {0, picture.Lit{Lamp: "a light bulb"}, "the camera says that a light bulb lit the card"},
	} {
		bare := spectrum.Lab{L: 92, B: 4} // is not taken for the lamp
		r := Reading{told: c.file, Correction: Correction{Kind: ByReference}}
		r.judgeLamp(&surface{warm: c.warm + warmth(linearOf(bare))}, bare)
		assert.Equal(t, c.tells != "", len(r.Notes) == 1, name)
		assert.Contains(t, r.UnderLamp, c.tells, name)
	}
}
