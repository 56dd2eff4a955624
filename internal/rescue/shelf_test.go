package rescue

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/optics"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// randomShelf learns invented dyes, one or two bands of absorption each, from two
// drops each made with the optics package: these tests check the search, not the
// physics.
func randomShelf(t testing.TB, seed uint64, dyes int) (*calibrate.Model, []wax.Dye) {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 40))
	surface := optics.SurfaceOf(1.44)
	sample := func(ks spectrum.Spectrum, recipe wax.Recipe) calibrate.Sample {
		for i, v := range ks {
			ks[i] = surface.Outside(optics.Film(v, 12, 0.89))
		}
		return calibrate.Sample{Recipe: recipe, Colour: spectrum.Measured{Lab: spectrum.D65.Lab(ks)}, Card: spectrum.Lab{L: 95.5}}
	}
	undyed := spectrum.Sample(func(nm float64) float64 { return 0.004 + 0.004*bump(nm, 400, 50) })
	samples := []calibrate.Sample{sample(undyed, nil)}
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
			samples = append(samples, sample(ks, wax.Recipe{{Dye: name, DoseGPerKg: dose}}))
		}
		shelf = append(shelf, wax.Dye{Name: name, Form: wax.Chip, UnitMassG: 1, MaxDoseGPerKg: 5, PricePerG: float64(1 + random.IntN(5))})
	}
	m, err := calibrate.Learn(wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9}, samples)
	require.NoError(t, err)
	return m, shelf
}

// BenchmarkMendOf40 mends one batch within reach of 40 dyes, and one out of reach with
// too little undyed wax, the longest search there is. The shelf takes long to learn.
func BenchmarkMendOf40(b *testing.B) {
	m, shelf := randomShelf(b, 1, 40)
	little := 300.0
	batch := wax.Batch{UndyedG: 800, Recipe: wax.Recipe{{Dye: "Dye 00", DoseGPerKg: 3}, {Dye: "Dye 07", DoseGPerKg: 1}}, Load: wax.Load{Per: wax.PerWax}}
	for _, c := range []struct {
		name   string
		target spectrum.Lab
		undyed *float64
	}{
		{"within reach", spectrum.Lab{L: 60, A: 2, B: 8}, nil},
		{"out of reach", spectrum.Lab{L: 90, A: 40, B: -30}, &little},
	} {
		b.Run(c.name, func(b *testing.B) {
			r := Request{Batch: batch, Target: Colour(c.target), View: thick, Shelf: shelf, UndyedG: c.undyed, ToleranceDE00: 1}
			for b.Loop() {
				if _, err := Mend(m, r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
