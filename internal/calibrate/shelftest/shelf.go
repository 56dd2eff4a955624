package shelftest

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Undyed is the K/S of undyed wax, a little yellow.
var Undyed = spectrum.Sample(func(nm float64) float64 { return 0.004 + 0.004*Bump(nm, 400, 50) })

// Random learns dyes of one or two bands of absorption each, from one drop of undyed
// wax and two of each dye, and returns the model and the dyes: chips of 1 g with
// prices, at most 5 g/kg. The same seed gives the same shelf.
func Random(t testing.TB, seed uint64, dyes int) (*calibrate.Model, []wax.Dye) {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 40))
	drops := []calibrate.Sample{Drop(Undyed, nil)}
	var shelf []wax.Dye
	for d := range dyes {
		name := fmt.Sprintf("Dye %02d", d)
		var k spectrum.Spectrum
		for range 1 + random.IntN(2) {
			at, width, height := 400+260*random.Float64(), 30+40*random.Float64(), 0.1+0.5*random.Float64()
			for i := range k {
				k[i] += height*Bump(spectrum.WavelengthNM(i), at, width) + 0.002
			}
		}
		for _, dose := range []float64{0.5, 5} {
			ks := Undyed
			for i := range ks {
				ks[i] += dose * k[i]
			}
			drops = append(drops, Drop(ks, wax.Recipe{{Dye: name, DoseGPerKg: dose}}))
		}
		shelf = append(shelf, wax.Dye{Name: name, Form: wax.Chip, UnitMassG: 1, MaxDoseGPerKg: 5, PricePerG: float64(1 + random.IntN(5))})
	}
	return Learn(t, drops), shelf
}
