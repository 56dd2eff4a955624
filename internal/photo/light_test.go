package photo

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/picture"
	"setshade/internal/spectrum"
)

func TestLinearOfInvertsLabOfLinear(t *testing.T) {
	for _, rgb := range [][3]float64{{1, 1, 1}, {0.9, 0.88, 0.8}, {0.1, 0.4, 0.02}} {
		got := linearOf(spectrum.LabOfLinear(rgb[0], rgb[1], rgb[2]))
		for c := range rgb {
			assert.InDelta(t, rgb[c], got[c], 1e-5)
		}
	}
}

// Code values of 8 bits come through light unchanged.
func TestDisplayCodeInvertsTheCurve(t *testing.T) {
	for code := range 256 {
		assert.Equal(t, uint8(code), displayCode(float32(picture.SRGBCurve(float64(code)/255))))
	}
}
