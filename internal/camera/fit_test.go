package camera

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

// madeCamera mixes and weighs the channels and bends the tones with a gamma, which
// is its own form, not the reader's.
type madeCamera struct {
	mix   [3][3]float64
	gain  [3]float64
	gamma float64
	glare float64
}

func (m madeCamera) sees(lab spectrum.Lab) [channels]float64 { return m.develops(linearOf(lab)) }

// develops returns the linear light that the stored picture stands for.
func (m madeCamera) develops(light [channels]float64) (out [channels]float64) {
	for r := range out {
		for c, v := range light {
			out[r] += m.mix[r][c] * v
		}
		u := picture.SRGBCode(min(max(m.gain[r]*out[r]+m.glare, 0), 1))
		out[r] = picture.SRGBCurve(math.Pow(u, m.gamma))
	}
	return out
}

func (m madeCamera) samples(colours []spectrum.Lab, white spectrum.Lab, noise float64) []Sample {
	rng := rand.New(rand.NewPCG(5, 5))
	var out []Sample
	for _, lab := range colours {
		light := m.sees(lab)
		for c := range light {
			light[c] *= 1 + noise*rng.NormFloat64()
		}
		out = append(out, NewSample(light, m.sees(white), lab, plane.Point{}))
	}
	return out
}

func linearOf(c spectrum.Lab) [channels]float64 {
	r, g, b := c.Linear()
	return [channels]float64{r, g, b}
}

// whiteCard and waxColours are invented: white card, and drops of wax on it.
var (
	whiteCard  = spectrum.Lab{L: 95.5, A: -0.4, B: 1.8}
	waxColours = []spectrum.Lab{
		{L: 91, A: -0.5, B: 5.5}, {L: 84, A: 9, B: 6}, {L: 70, A: 30, B: 12}, {L: 48, A: 48, B: 22},
		{L: 86, A: -8, B: 2}, {L: 66, A: -18, B: -14}, {L: 42, A: -4, B: -32}, {L: 24, A: 6, B: -22},
		{L: 88, A: -1, B: 26}, {L: 74, A: 14, B: 48}, {L: 55, A: 0.3, B: 1}, {L: 20, A: 2, B: 2},
	}
)

var identityMix = [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}

func stripColours() (out []spectrum.Lab) {
	for _, p := range card.Layout(card.A5).Strip {
		out = append(out, p.Colour.Target())
	}
	return out
}

// The camera is known. What is fitted to the strip must read other colours right,
// and must not touch a camera that is right already.
func TestCorrectionFindsTheCamera(t *testing.T) {
	mixed := [3][3]float64{{0.85, 0.12, 0.03}, {0.06, 0.9, 0.04}, {0, 0.15, 0.85}}
	for _, c := range []struct {
		name   string
		camera madeCamera
		model  string
		within float64 // dE00 of other colours
	}{
		{"true", madeCamera{mix: identityMix, gain: [3]float64{0.9, 0.8, 0.55}, gamma: 1}, "none", 0.01},
		{"lighter", madeCamera{mix: identityMix, gain: [3]float64{0.9, 0.8, 0.55}, gamma: 0.8}, "tone curve", 0.1},
		{"glare", madeCamera{mix: identityMix, gain: [3]float64{0.9, 0.8, 0.7}, gamma: 1, glare: 0.006}, "tone curve", 0.3},
		{"mixing", madeCamera{mix: mixed, gain: [3]float64{0.9, 0.8, 0.55}, gamma: 1}, "tone curve and 3 x 3", 0.3},
		{"both", madeCamera{mix: mixed, gain: [3]float64{0.9, 0.8, 0.55}, gamma: 1.2}, "tone curve and 3 x 3", 0.3},
	} {
		f := Fit{White: linearOf(whiteCard), Space: picture.SRGB}
		k, correction := f.Choose(c.camera.samples(stripColours(), whiteCard, 0))
		assert.Equal(t, c.model, correction.Model, c.name)
		var others []float64
		for _, s := range c.camera.samples(waxColours, whiteCard, 0) {
			others = append(others, f.Error(k, &s))
		}
		t.Logf("%-8s %+v, other colours %.3f, worst %.3f", c.name, correction, rank.Quantile(others, 0.5), rank.Quantile(others, 1))
		assert.Less(t, rank.Quantile(others, 0.95), c.within, c.name)
	}
}

// White stays white whatever is fitted, and a noisy strip is not believed more
// than it deserves.
func TestCorrectionKeepsWhite(t *testing.T) {
	camera := madeCamera{mix: identityMix, gain: [3]float64{0.8, 0.8, 0.8}, gamma: 1}
	f := Fit{White: linearOf(whiteCard), Space: picture.SRGB}
	for _, m := range models {
		k := f.fit(m, camera.samples(stripColours(), whiteCard, 0.03))
		white := NewSample(camera.sees(whiteCard), camera.sees(whiteCard), whiteCard, plane.Point{})
		assert.Less(t, f.Error(k, &white), 1e-6, m.name)
	}
}

// A patch under a splash of wax is found by the others.
func TestCorrectionLeavesABadPatchOut(t *testing.T) {
	camera := madeCamera{mix: identityMix, gain: [3]float64{0.8, 0.8, 0.8}, gamma: 0.9}
	samples := camera.samples(stripColours(), whiteCard, 0)
	samples[4].Light = camera.sees(spectrum.Lab{L: 50, A: 50, B: 20})
	f := Fit{White: linearOf(whiteCard), Space: picture.SRGB}
	_, correction := f.Choose(samples)
	assert.Equal(t, len(samples)-1, correction.Patches)
	assert.Less(t, correction.WorstDE00, 0.3)
}

func TestToneCurveRisesAndKeepsItsEnds(t *testing.T) {
	for _, tone := range []toneCurve{{}, {lift: 0.4}, {lift: -0.5, bend: 0.6}, {bend: -0.5, skew: 0.2}} {
		require.True(t, tone.isSound(), "%+v", tone)
		assert.InDelta(t, 0, tone.light(0), 1e-12)
		assert.InDelta(t, 1, tone.light(1), 1e-12)
		last := 0.0
		for i := 1; i <= 100; i++ {
			v := tone.light(float64(i) / 100)
			assert.Greater(t, v, last, "%+v at %d", tone, i)
			last = v
		}
	}
	assert.False(t, toneCurve{bend: -2}.isSound())
	assert.False(t, toneCurve{lift: 3}.isSound())
}
