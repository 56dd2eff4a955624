package scene

import (
	"fmt"
	"math"
	"math/rand/v2"

	"setshade/internal/spectrum"
)

// Dye is a dissolved dye: it absorbs and does not scatter.
type Dye struct {
	Name string
	// PerMM is the absorption coefficient that 1 g/kg adds to set wax.
	PerMM spectrum.Spectrum
	// LiquidRatio is the absorption in liquid wax over that in set wax.
	LiquidRatio float64
}

// Band is one absorption band, a Gaussian over the energy of light:
//
//	PerMM exp(-ln 2 ((1/λ - 1/PeakNM) / w)²)
//
// with w such that the band is about WidthNM wide at half its height.
type Band struct{ PeakNM, WidthNM, PerMM float64 }

// Absorption sums bands over the grid.
func Absorption(bands ...Band) spectrum.Spectrum {
	return spectrum.Sample(func(nm float64) float64 {
		sum := 0.0
		for _, b := range bands {
			half := b.WidthNM / (2 * b.PeakNM * b.PeakNM)
			x := (1/nm - 1/b.PeakNM) / half
			sum += b.PerMM * math.Exp(-math.Ln2*x*x)
		}
		return sum
	})
}

// RandomDye draws a plausible dye: one main band anywhere in sight, its shoulder
// towards blue, a band in the near ultraviolet and a weak tail everywhere. At
// 1 g/kg its peak absorbs about as much as set wax scatters forwards and back.
func RandomDye(seed uint64) Dye {
	r := rand.New(rand.NewPCG(seed, 0xd7e))
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	peak := between(410, 650)
	height := math.Exp(between(math.Log(2), math.Log(7.5)))
	width := between(60, 120)
	return Dye{
		Name: fmt.Sprintf("Dye %d", seed),
		PerMM: Absorption(
			Band{peak, width, height},
			Band{peak - between(0.4, 0.8)*width, between(50, 90), height * between(0.2, 0.7)},
			Band{between(340, 390), between(50, 90), height * between(0.1, 0.6)},
			Band{between(450, 600), between(300, 500), height * between(0.01, 0.08)},
		),
		LiquidRatio: between(0.85, 1.1),
	}
}
