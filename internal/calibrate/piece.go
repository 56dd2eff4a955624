package calibrate

import (
	"slices"

	"setshade/internal/optics"
	"setshade/internal/spectrum"
)

// piece is a drop, or a thick piece, of some recipe: what the unknowns turn
// into a colour.
type piece struct {
	mix           []ingredient
	liquid, thick bool
	backing       spectrum.Spectrum // under a drop
	card          int               // place of its card's log thickness, or absent
	thicker       float64           // log of its thickness over the usual, as told
	own           int               // place of the log of its thickness over that told, or absent
}

// murky reports whether particles that scatter are in it.
func (p piece) murky() bool {
	return slices.ContainsFunc(p.mix, func(in ingredient) bool { return in.scatter != absent })
}

// media are the surfaces of the wax in its two states.
type media struct {
	surface optics.Surface
	layer   optics.LiquidLayer
}

func mediaOf(refractiveIndex float64) media {
	return media{optics.SurfaceOf(refractiveIndex), optics.LiquidLayerOf(refractiveIndex)}
}

// backingOf makes up the reflectance under a drop from its colour.
func backingOf(card spectrum.Lab) spectrum.Spectrum {
	return card.Smooth().Map(func(r float64) float64 { return min(max(r, 0), 1) })
}

func (l layout) pieceOf(s Sample) piece {
	return piece{
		mix: l.ingredients(s.Recipe), liquid: s.isLiquid(), thick: s.Thick,
		backing: backingOf(s.Card), card: l.card(s.CardID), thicker: l.told.over(s), own: l.own(s),
	}
}
