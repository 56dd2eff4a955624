package scene

import (
	"fmt"

	"setshade/internal/scene/transport"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Shelf is a wax and the dyes for it. Its methods give the true colour of any
// recipe; a recipe with a dye that is not on the shelf panics.
type Shelf struct {
	Wax  *Wax
	Dyes []Dye
}

// RandomShelf draws count dyes, named apart, for the wax. The same seed gives the
// same shelf.
func RandomShelf(w *Wax, seed uint64, count int) *Shelf {
	s := &Shelf{Wax: w}
	for i := range count {
		s.Dyes = append(s.Dyes, RandomDye(seed*1000+uint64(i)))
	}
	return s
}

// SetReflectance returns the reflectance factor of set wax as an even layer on
// the card, lit at 45° and seen from straight above, mirrored light left out.
// The card is its diffuse reflectance, also under the wax.
func (s *Shelf) SetReflectance(recipe wax.Recipe, thicknessMM float64, card spectrum.Spectrum) spectrum.Spectrum {
	return s.layer(recipe, wax.SetState, thicknessMM).over(card)
}

// ThickReflectance is SetReflectance for a piece so thick that no card shows.
func (s *Shelf) ThickReflectance(recipe wax.Recipe) spectrum.Spectrum {
	absorption := s.absorption(recipe, wax.SetState)
	var out spectrum.Spectrum
	for i := range out {
		out[i] = s.Wax.set.thick(s.Wax.scattering[i], absorption[i]).Factor(0)
	}
	return out
}

// LiquidReflectance is SetReflectance for liquid wax, which is clear.
func (s *Shelf) LiquidReflectance(recipe wax.Recipe, thicknessMM float64, card spectrum.Spectrum) spectrum.Spectrum {
	return s.layer(recipe, wax.LiquidState, thicknessMM).over(card)
}

// Reflectance is SetReflectance or LiquidReflectance, by the state.
func (s *Shelf) Reflectance(recipe wax.Recipe, state wax.State, thicknessMM float64, card spectrum.Spectrum) spectrum.Spectrum {
	return s.layer(recipe, state, thicknessMM).over(card)
}

// layer is an even layer of wax, as a film for each band.
type layer [spectrum.Bands]transport.Film

func (s *Shelf) layer(recipe wax.Recipe, state wax.State, thicknessMM float64) *layer {
	absorption := s.absorption(recipe, state)
	var out layer
	for i := range out {
		l := transport.Layer{AbsorptionPerMM: absorption[i], ThicknessMM: thicknessMM}
		if state == wax.LiquidState {
			out[i] = s.Wax.liquid.Film(l)
			continue
		}
		l.ScatteringPerMM = s.Wax.scattering[i]
		out[i] = s.Wax.set.of(l)
	}
	return &out
}

// over returns the layer's reflectance factor on a card.
func (l *layer) over(card spectrum.Spectrum) spectrum.Spectrum {
	var out spectrum.Spectrum
	for i, film := range l {
		out[i] = film.Factor(card[i])
	}
	return out
}

// absorption adds wax and dyes, band by band.
func (s *Shelf) absorption(recipe wax.Recipe, state wax.State) spectrum.Spectrum {
	sum := s.Wax.absorption
	for _, part := range recipe {
		dye := s.dye(part.Dye)
		dose := part.DoseGPerKg
		if state == wax.LiquidState {
			dose *= dye.LiquidRatio
		}
		for i, a := range dye.PerMM {
			sum[i] += dose * a
		}
	}
	return sum
}

func (s *Shelf) dye(name string) Dye {
	for _, d := range s.Dyes {
		if d.Name == name {
			return d
		}
	}
	panic(fmt.Sprintf("scene: the dye %q is not on the shelf", name))
}
