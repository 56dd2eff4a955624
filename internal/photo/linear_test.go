package photo

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/spectrum"
)

// The two branches of the transfer function and its ends; IEC 61966-2-1:1999,
// 5.2. The linear value of code 188, 0.5029, and of code 128, 0.2158, are the
// commonly tabulated ones (from memory).
func TestToLinear(t *testing.T) {
	for code, want := range map[int]float64{0: 0, 1: 1 / 255.0 / 12.92, 10: 10 / 255.0 / 12.92, 128: 0.2158, 188: 0.5029, 255: 1} {
		assert.InDelta(t, want, toLinear[code], 1e-4, "code %d", code)
	}
	for code := range 256 {
		assert.Equal(t, uint8(code), displayCode(toLinear[code]))
	}
	const h = 1e-4
	for _, light := range []float64{0.001, 0.02, 0.2, 0.8} {
		slope := 2 * h * light / (codeOf(light*(1+h)) - codeOf(light*(1-h)))
		assert.InEpsilon(t, sRGB.slope(red, light), slope, 0.02)
	}
}

func TestLinearOfInvertsLabOfLinear(t *testing.T) {
	for _, rgb := range [][3]float64{{1, 1, 1}, {0.9, 0.88, 0.8}, {0.1, 0.4, 0.02}} {
		got := linearOf(spectrum.LabOfLinear(rgb[0], rgb[1], rgb[2]))
		for c := range rgb {
			assert.InDelta(t, rgb[c], got[c], 1e-5)
		}
	}
}
