package calibrate

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// The palette must give the colours of Model.Lab, and its slopes those of
// central differences (gonum fd).
func TestPaletteIsTheModel(t *testing.T) {
	m := shelf("Bracken", "Slate", "Madder")
	for _, view := range []View{{Thick: true}, {Card: testCard}} {
		p, err := m.Palette(view)
		require.NoError(t, err)
		recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.3}, {Dye: "Madder", DoseGPerKg: 1.7}}
		var colourants []Colourant
		var strengths []float64
		for _, part := range recipe {
			c, ok := p.Colourant(part.Dye)
			require.True(t, ok)
			g := c.Strength(part.DoseGPerKg)
			assert.InEpsilon(t, part.DoseGPerKg, c.DoseGPerKg(g), 1e-12)
			colourants, strengths = append(colourants, c), append(strengths, g)
		}
		mixed := func(strengths []float64) spectrum.Spectrum {
			a := p.Undyed()
			for d, c := range colourants {
				for i := range a {
					a[i] += strengths[d] * c.Absorption[i]
				}
			}
			return a
		}
		at := mixed(strengths)
		want, err := m.Lab(recipe, view)
		require.NoError(t, err)
		got, slopes := p.LabWithSlopes(&at, colourants)
		assert.InDeltaSlice(t, vector(want), vector(got), 1e-9)
		assert.InDeltaSlice(t, vector(want), vector(p.Lab(&at)), 1e-9)
		for c := range 3 {
			numeric := fd.Gradient(nil, func(g []float64) float64 {
				a := mixed(g)
				return p.Lab(&a).Vector()[c]
			}, strengths, &fd.Settings{Formula: fd.Central, Step: 1e-5})
			for d := range slopes {
				assert.InDelta(t, numeric[d], slopes[d][c], 1e-5)
			}
		}
	}
}

// What a search may rely on: see the comments of BandSlope.
func TestBandsFallWithAbsorption(t *testing.T) {
	m := shelf("Bracken")
	for _, view := range []View{{Thick: true}, {Card: testCard}} {
		p, err := m.Palette(view)
		require.NoError(t, err)
		for _, band := range []int{0, 17, 35} {
			last := p.Band(band, 1e-4)
			for a := 1e-4 * 1.1; a < 100; a *= 1.1 {
				b := p.Band(band, a)
				assert.Less(t, b.Reflectance, last.Reflectance)
				assert.LessOrEqual(t, b.Steepness, last.Steepness)
				if p.Convex() {
					assert.GreaterOrEqual(t, b.Slope(), last.Slope())
				}
				assert.Greater(t, b.KSPerA, last.KSPerA)
				last = b
			}
		}
	}
}

func vector(c spectrum.Lab) []float64 { v := c.Vector(); return v[:] }
