package picture

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The two branches of the transfer function and its ends; IEC 61966-2-1:1999,
// 5.2. The linear value of code 188, 0.5029, and of code 128, 0.2158, are the
// commonly tabulated ones (from memory).
func TestToLinear(t *testing.T) {
	for code, want := range map[int]float64{0: 0, 1: 1 / 255.0 / 12.92, 10: 10 / 255.0 / 12.92, 128: 0.2158, 188: 0.5029, 255: 1} {
		assert.InDelta(t, want, toLinear[code], 1e-4, "code %d", code)
	}
}

// The slope is the curve's derivative, over the 255 codes of 8 bits.
func TestSlope(t *testing.T) {
	const h = 1e-4
	for _, v := range []float64{0.01, 0.15, 0.5, 0.9} {
		slope := (SRGBCurve(v+h) - SRGBCurve(v-h)) / (2 * h * 255)
		assert.InEpsilon(t, slope, SRGB.slope(Red, SRGBCurve(v)), 0.02)
	}
}
