package picture

import (
	"math"
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

// A step of 2 codes leaves an error even over it, of 2/√12 (the JCGM's Guide to the
// Expression of Uncertainty in Measurement 2008, 4.3.7), times the slope of IEC 61966-2-1.
func TestLumaErrorAt(t *testing.T) {
	code := Code{luma: true, lumaStep: 2, Space: SRGB}
	light := func(v float64) float64 { return math.Pow((v+0.055)/1.055, 2.4) }
	slope := func(v float64) float64 { return 2.4 / 1.055 * math.Pow((v+0.055)/1.055, 1.4) / 255 }
	got := code.LumaErrorAt([Channels]float64{light(0.2), light(0.5), light(0.9)})
	for c, v := range []float64{0.2, 0.5, 0.9} {
		assert.InEpsilon(t, 2/math.Sqrt(12)*slope(v), got[c], 0.01)
	}
	assert.Zero(t, Code{Space: SRGB}.LumaErrorAt([Channels]float64{0.5, 0.5, 0.5}))
}
