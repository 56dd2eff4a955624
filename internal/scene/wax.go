package scene

import (
	"math"

	"setshade/internal/scene/transport"
	"setshade/internal/spectrum"
)

// WaxOptics is how an undyed wax treats light. Lengths are in mm, coefficients
// per mm (natural logarithm).
type WaxOptics struct {
	RefractiveIndex float64
	// Asymmetry is g of the scattering by wax crystals, the mean cosine of the
	// turn.
	Asymmetry float64
	// ScatteringPerMM is the scattering coefficient of the set wax at 550 nm. It
	// falls as the wavelength to the power of minus ScatteringPower. Liquid wax
	// does not scatter.
	ScatteringPerMM, ScatteringPower float64
	// AbsorptionPerMM is that of the undyed wax at 550 nm. It falls as
	// exp(-λ / CreamNM), which makes the wax slightly cream.
	AbsorptionPerMM, CreamNM float64
}

// Soy is a soy wax that hides a card at a few mm, and scatters so much that a
// set drop is paler than a liquid one of the same dose (invented).
var Soy = WaxOptics{
	RefractiveIndex: 1.44, Asymmetry: 0.6,
	ScatteringPerMM: 30, ScatteringPower: 0.7,
	AbsorptionPerMM: 0.012, CreamNM: 80,
}

// Scattering returns the wax with another reduced scattering at 550 nm, σ' = s (1 - g):
// what remains of scattering once it is counted as even in all directions. White solids
// of wax's index were measured at 1 to 8 /mm; Soy has 12.
func (o WaxOptics) Scattering(reducedPerMM float64) WaxOptics {
	o.ScatteringPerMM = reducedPerMM / (1 - o.Asymmetry)
	return o
}

func (o WaxOptics) reducedPerMM() float64 { return o.ScatteringPerMM * (1 - o.Asymmetry) }

// Wax is an undyed wax with its optics worked out, ready to be dyed.
type Wax struct {
	optics     WaxOptics
	scattering spectrum.Spectrum
	absorption spectrum.Spectrum
	set        *films
	liquid     *transport.Medium
}

// The directions of light followed in a set and in a liquid drop. With them reflectance factors
// are good to 1e-5.
const (
	directionsSet    = 16
	directionsLiquid = 32
)

// NewWax works out the optics, some hundredths of a second of work. Values
// outside what transport.NewMedium takes panic.
func NewWax(o WaxOptics) *Wax {
	return &Wax{
		optics: o,
		scattering: spectrum.Sample(func(nm float64) float64 {
			return o.ScatteringPerMM * math.Pow(550/nm, o.ScatteringPower)
		}),
		absorption: spectrum.Sample(func(nm float64) float64 {
			return o.AbsorptionPerMM * math.Exp((550-nm)/o.CreamNM)
		}),
		set:    newFilms(transport.NewMedium(o.RefractiveIndex, o.Asymmetry, directionsSet)),
		liquid: transport.NewMedium(o.RefractiveIndex, 0, directionsLiquid),
	}
}

// WhiteCard returns the reflectance of the card of these scenes: white, nearly
// neutral, without brightener (invented).
func WhiteCard() spectrum.Spectrum {
	return spectrum.Sample(func(nm float64) float64 {
		return 0.886 - 0.10*math.Exp((380-nm)/22) + 0.004*(nm-550)/180
	})
}
