package scene

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func recipe(dye string, dose float64) wax.Recipe { return wax.Recipe{{Dye: dye, DoseGPerKg: dose}} }

func lab(r spectrum.Spectrum) spectrum.Lab { return spectrum.D65.Lab(r) }

// Undyed wax is white and slightly cream, a drop on white card a little less so
// than a thick piece. Common practice, no source.
func TestUndyedWaxIsSlightlyCream(t *testing.T) {
	s := RandomShelf(soy, 1, 0)
	drop, thick := lab(s.SetReflectance(nil, 2.7, WhiteCard())), lab(s.ThickReflectance(nil))
	for _, c := range []spectrum.Lab{drop, thick} {
		assert.Greater(t, c.L, 90.0)
		assert.InDelta(t, 0, c.A, 1)
		assert.InDelta(t, 6, c.B, 2)
	}
	assert.Less(t, drop.B, thick.B)
	assert.Less(t, spectrum.DE00(drop, thick), 3.0)
}

// More dye darkens, and a liquid drop, though it spreads thinner, looks darker
// than the set one. Common practice, no source.
func TestDyeDarkensAndLiquidIsDarker(t *testing.T) {
	s := RandomShelf(soy, 3, 12)
	for _, d := range s.Dyes {
		lightness := 100.0
		for _, dose := range []float64{0.1, 0.3, 1, 3} {
			set := lab(s.SetReflectance(recipe(d.Name, dose), DropThicknessMM(wax.SetState), WhiteCard()))
			liquid := lab(s.LiquidReflectance(recipe(d.Name, dose), DropThicknessMM(wax.LiquidState), WhiteCard()))
			assert.Less(t, set.L, lightness, d.Name)
			assert.Less(t, liquid.L, set.L, d.Name)
			lightness = set.L
		}
	}
}

// A film so thick that no card shows is the thick shade, on any card.
func TestThickFilmIsThickShade(t *testing.T) {
	s := RandomShelf(soy, 4, 1)
	r := recipe(s.Dyes[0].Name, 0.5)
	thick := s.ThickReflectance(r)
	for _, card := range []float64{0, 0.9} {
		film := s.SetReflectance(r, 12, spectrum.Flat(card))
		assert.InDeltaSlice(t, thick[:], film[:], 2e-4)
	}
}

func TestAbsorptionsAdd(t *testing.T) {
	s := RandomShelf(soy, 5, 2)
	both, err := wax.NewRecipe(wax.Part{Dye: s.Dyes[0].Name, DoseGPerKg: 0.4}, wax.Part{Dye: s.Dyes[1].Name, DoseGPerKg: 2})
	assert.NoError(t, err)
	sum := s.absorption(both, wax.SetState)
	for i := range sum {
		want := soy.absorption[i] + 0.4*s.Dyes[0].PerMM[i] + 2*s.Dyes[1].PerMM[i]
		assert.InDelta(t, want, sum[i], 1e-12)
	}
	assert.Panics(t, func() { s.SetReflectance(recipe("Nobody", 1), 1, WhiteCard()) })
}

func TestRandomShelvesAreSmoothAndRepeat(t *testing.T) {
	for seed := range uint64(40) {
		s := RandomShelf(soy, seed, 6)
		assert.Equal(t, s.Dyes, RandomShelf(soy, seed, 6).Dyes)
		assert.NotEqual(t, s.Dyes[0].PerMM, s.Dyes[1].PerMM)
		for _, d := range s.Dyes {
			strongest := 0.0
			for _, a := range d.PerMM {
				strongest = max(strongest, a)
			}
			for i, a := range d.PerMM {
				assert.Positive(t, a)
				if i > 0 {
					assert.InDelta(t, d.PerMM[i-1], a, 0.3*strongest, "%s at %g nm", d.Name, spectrum.WavelengthNM(i))
				}
			}
		}
	}
}
