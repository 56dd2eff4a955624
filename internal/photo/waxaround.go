package photo

import (
	"math"

	"setshade/internal/spectrum"
)

// waxAround holds the middling colours of a drop's middle and, as far as they are seen, of
// two rings around it. Something that covers more than half of the middle passes there for
// the wax, and has no edge in it where it covers all: only what lies around tells of it.
type waxAround struct {
	middle [channels]float64
	rings  [][channels]float64
}

// Where the two rings begin and end, in radii. Of halves on the black bar the outer one is
// not asked: clean ones were up to 14 dE00 off there.
const ringStart, ringMiddle, ringEnd = 0.66, 0.8, 0.9

// waxAround looks at the middle of a drop and around it, over white where it lies on two
// grounds. Thick pieces have edges of their own, and are not looked at.
func (m *meter) waxAround(p *placed) (a waxAround) {
	if m.thick {
		return a
	}
	const enough, few = 2000, 24 // pixels, for medians
	within := p.RadiusSquared()
	var middle [][channels]float64
	var rings [2][][channels]float64
	for k := 0; k < len(p.pixels); k += 1 + len(p.pixels)/enough {
		i := p.pixels[k]
		if p.onWhite != nil && !p.onWhite(i) {
			continue
		}
		switch rho := math.Sqrt(within(centreAt(i, m.f.w))); {
		case rho < m.core:
			middle = append(middle, m.f.at(i))
		case rho > ringStart && rho < ringMiddle:
			rings[0] = append(rings[0], m.f.at(i))
		case rho >= ringMiddle && rho < ringEnd && p.onWhite == nil:
			rings[1] = append(rings[1], m.f.at(i))
		}
	}
	if len(middle) < few {
		return a
	}
	a.middle = middling(middle)
	for _, ring := range rings {
		if len(ring) >= few {
			a.rings = append(a.rings, middling(ring))
		}
	}
	return a
}

// How far the wax around may be, in dE00, from what the middle would be were it thinner:
// farther off, something lies on the middle that is not its wax. Of 600 clean rendered
// drops, set and liquid, sharp and blurred, none was more than 9.4 off, but in a lamp of
// 2700 K five drops of 489 were 15 and more, one 20 and more; with a bit of flower of
// another hue on them they were 20 and more. So a few are told for nothing, and what is
// told is not always refused.
const (
	unlikeHue  = 11.0 // is told
	coveredHue = 24.0 // is refused
)

// offHue is how far the wax around is, in dE00, from what a colour would be were its wax
// thinner, in the ring where it is farther.
func (m *meter) offHue(wax [channels]float64, a *waxAround) (off float64) {
	for _, ring := range a.rings {
		off = max(off, m.offThinned(wax, m.bare(ring)))
	}
	return off
}

// isUnlikeAround reports whether what was read is not the wax that lies around it.
func (r *domeReading) isUnlikeAround() bool { return r.unlikeRim || r.offHue > unlikeHue }

// offThinned is how far, in dE00, a colour is from what wax would be were it thinner, or a
// little thicker: its ratio to the card to some power. That is the light through a clear
// layer of so many times the thickness (Bouguer 1729), and near enough for one that
// scatters.
func (m *meter) offThinned(wax [channels]float64, colour spectrum.Lab) float64 {
	const thinnest, thickest, step, least = 0.05, 1.5, 0.05, 1e-3
	off := math.Inf(1)
	for power := thinnest; power < thickest; power += step {
		var layer [channels]float64
		for c, v := range wax {
			layer[c] = math.Pow(max(v, least), power)
		}
		off = min(off, spectrum.DE00(colour, m.bare(layer)))
	}
	return off
}

// isCovered reports whether something lies on most of a drop's middle, whose surface then
// tells nothing of the light mirrored in the wax.
func (m *meter) isCovered(a *waxAround) bool {
	const darker = 9.0 // dE00; of sharp clean drops at most 6.4
	return len(a.rings) > 0 && (spectrum.DE00(m.bare(a.middle), m.bare(a.rings[0])) > darker || m.offHue(a.middle, a) > unlikeHue)
}
