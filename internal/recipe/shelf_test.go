package recipe

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/optics"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

var (
	thick = calibrate.View{Thick: true}
	card  = spectrum.Lab{L: 95.5}
)

// randomShelf learns invented dyes, one or two bands of absorption each, from
// drops made with the optics package: these tests check the search, not the
// physics.
func randomShelf(t testing.TB, seed uint64, dyes int) (*calibrate.Model, []wax.Dye) {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 40))
	surface := optics.SurfaceOf(1.44)
	drop := func(ks spectrum.Spectrum, recipe wax.Recipe) calibrate.Sample {
		for i, v := range ks {
			ks[i] = surface.Outside(optics.Film(v, 12, 0.89))
		}
		return calibrate.Sample{Recipe: recipe, Colour: spectrum.Measured{Lab: spectrum.D65.Lab(ks)}, Card: card}
	}
	undyed := spectrum.Sample(func(nm float64) float64 { return 0.004 + 0.004*bump(nm, 400, 50) })
	samples := []calibrate.Sample{drop(undyed, nil)}
	var shelf []wax.Dye
	for d := range dyes {
		name := fmt.Sprintf("Dye %02d", d)
		var k spectrum.Spectrum
		for range 1 + random.IntN(2) {
			at, width, height := 400+260*random.Float64(), 30+40*random.Float64(), 0.1+0.5*random.Float64()
			for i := range k {
				k[i] += height*bump(spectrum.WavelengthNM(i), at, width) + 0.002
			}
		}
		for _, dose := range []float64{0.5, 5} {
			ks := undyed
			for i := range ks {
				ks[i] += dose * k[i]
			}
			samples = append(samples, drop(ks, wax.Recipe{{Dye: name, DoseGPerKg: dose}}))
		}
		shelf = append(shelf, wax.Dye{Name: name, Form: wax.Chip, UnitMassG: 1, MaxDoseGPerKg: 5, PricePerG: float64(1 + random.IntN(5))})
	}
	return learned(t, samples), shelf
}

func learned(t testing.TB, samples []calibrate.Sample) *calibrate.Model {
	m, err := calibrate.Learn(wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9}, samples)
	require.NoError(t, err)
	return m
}

func bump(nm, at, width float64) float64 {
	x := (nm - at) / width
	return math.Exp(-x * x / 2)
}

func portioned(t testing.TB, dyes []wax.Dye, undyedG float64) []Ingredient {
	var shelf []Ingredient
	for _, d := range dyes {
		in, err := NewIngredient(d, undyedG)
		require.NoError(t, err)
		shelf = append(shelf, in)
	}
	return shelf
}

// shelfOf40 is a shelf too large to learn quickly: it takes some 20 seconds,
// so only benchmarks use it.
func shelfOf40(b *testing.B) (*calibrate.Model, []wax.Dye) { return randomShelf(b, 1, 40) }
