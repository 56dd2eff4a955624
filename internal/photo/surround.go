package photo

import (
	"math"
	"slices"

	"setshade/internal/english"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// surround is what the bare card around a drop says of the light on it, against
// the light that was fitted to the whole card. A shadow of a hand or of a window
// bar, or glare, is no smooth light: the fit passes it by, and the drop in it would
// read too dark.
type surround struct {
	// light is that of card white at the drop's middle over the fitted light, 1
	// where too little bare card is around the drop.
	light [channels]float64
	// doubt is its standard deviation, relative, beyond what the card's tooth, noise
	// and the file's rounding leave in good light.
	doubt float64
}

// Departures of the light at a drop that are told to the maker, and the doubt from
// which on its colour would be a guess: 0.07 of the light is two dE00 of a drop of
// middling lightness.
const (
	notedDoubt  = 0.02
	mostDoubt   = 0.07
	notedShadow = 0.03
)

// The ring of bare card, in radii of its drop: beyond the drop's own shadow and
// within half the way to the next drop. It is looked at in sectors.
const (
	ringFrom, ringTo = 1.4, 1.7
	ringSectors      = 16
)

// sector is a part of the ring: the direction of its middle and the median of the
// ratio to the fitted light.
type sector struct {
	x, y  float64
	ratio [channels]float64
}

// surroundings looks around every drop, past the wax that was left out.
func surroundings(f *flattened, drops []placed, leftOut []blob) []surround {
	wax := slices.Clone(drops)
	for _, b := range leftOut {
		wax = append(wax, placed{blob: b})
	}
	rings := make([][]sector, len(drops))
	sides := map[[2]float64][]float64{}
	for k := range drops {
		if drops[k].onBlack == nil { // half a ring tells a slope from a shadow no better than a guess
			rings[k] = ringOf(f, wax, k)
		}
		for _, part := range rings[k] {
			side := [2]float64{part.x, part.y}
			sides[side] = append(sides[side], mean3(part.ratio)-1)
		}
	}
	out := make([]surround, len(drops))
	for k, ring := range rings {
		// What most drops have on the same side is the shadow that each casts itself.
		const fewest, shaded = 3, -0.02
		ring = slices.DeleteFunc(ring, func(part sector) bool {
			others := sides[[2]float64{part.x, part.y}]
			return len(others) >= fewest && rank.Median(slices.Clone(others)) < shaded
		})
		out[k] = surroundOf(ring)
	}
	return out
}

// unshaded are the surroundings of n drops in the light that was fitted.
func unshaded(n int) []surround {
	out := make([]surround, n)
	for k := range out {
		out[k] = surroundOf(nil)
	}
	return out
}

// ringOf returns the sectors of a drop's ring in which enough card is bare.
func ringOf(f *flattened, drops []placed, k int) []sector {
	var near []placed
	own := drops[k].Ellipse
	long, _ := own.Axes()
	for i, d := range drops {
		other, _ := d.Axes()
		if i != k && d.Centre.Minus(own.Centre).Length() < ringTo*(long+other)/2 {
			near = append(near, d)
		}
	}
	const enough = 60 // pixels of a sector, of which not all are asked beyond that
	share := float64(len(drops[k].pixels)) * (ringTo*ringTo - ringFrom*ringFrom) / ringSectors
	every := max(1, int(math.Round(math.Sqrt(share/enough))))
	var values [ringSectors][channels][]float64
	for s := range values {
		for c := range values[s] {
			values[s][c] = make([]float64, 0, 3*enough)
		}
	}
	reach, within := ringTo*long/2, own.RadiusSquared()
	for y := max(0, int(own.Centre.Y-reach)); y <= min(f.h-1, int(own.Centre.Y+reach)); y += every {
		for x := max(0, int(own.Centre.X-reach)); x <= min(f.w-1, int(own.Centre.X+reach)); x += every {
			i, at := y*f.w+x, plane.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}
			if !f.inside[i] {
				continue
			}
			if r2 := within(at); r2 < ringFrom*ringFrom || r2 > ringTo*ringTo || besideAny(near, at) {
				continue
			}
			d := at.Minus(own.Centre)
			turn := math.Atan2(d.Y, d.X)/(2*math.Pi) + 1
			s := int(turn*ringSectors) % ringSectors
			for c := range channels {
				values[s][c] = append(values[s][c], float64(f.ratio[c][i]))
			}
		}
	}
	const leastPixels = 5
	var ring []sector
	for s := range values {
		if len(values[s][0])*every*every < leastPixels {
			continue
		}
		sin, cos := math.Sincos(2 * math.Pi * (float64(s) + 0.5) / ringSectors)
		part := sector{x: cos, y: sin}
		for c := range part.ratio {
			part.ratio[c] = rank.Median(values[s][c])
		}
		if isCard(part.ratio) {
			ring = append(ring, part)
		}
	}
	return ring
}

// besideAny reports whether a place lies on one of the drops or in its own shadow.
func besideAny(drops []placed, at plane.Point) bool {
	for i := range drops {
		if drops[i].Radius(at) < ringFrom {
			return true
		}
	}
	return false
}

// isCard tells card in whatever light from wax and print: about white.
func isCard(ratio [channels]float64) bool {
	const darkest, tinted = 0.4, 0.15
	bright := mean3(ratio)
	return bright > darkest && math.Abs(ratio[red]-ratio[blue]) < tinted*bright
}

// surroundOf fits the plane
//
//	ratio = light + x slopeX + y slopeY
//
// to the ring, whose value in the middle is the light there. What the ring departs
// from the plane is the doubt: a straight edge of a shadow half a radius off the
// middle of a ring 1.5 radii wide leaves 0.24 of its depth, and puts the middle
// wrong by 0.39 of it; so the doubt is twice what is left.
func surroundOf(ring []sector) surround {
	const leastSectors = 6
	s := surround{light: [channels]float64{1, 1, 1}}
	if len(ring) < leastSectors {
		return s
	}
	var fit [channels][3]float64
	for c := range channels {
		fit[c] = planeThrough(ring, c)
		s.light[c] = 1 + believed(fit[c][0]-1)
	}
	sum := 0.0
	for _, p := range ring {
		var left [channels]float64
		for c := range left {
			left[c] = p.ratio[c] - fit[c][0] - fit[c][1]*p.x - fit[c][2]*p.y
		}
		sum += mean3(left) * mean3(left)
	}
	const doubts, fitted, usual = 2.0, 3, 0.01
	doubt := doubts * math.Sqrt(sum/float64(len(ring)-fitted)) / mean3(s.light)
	s.doubt = math.Sqrt(max(0, doubt*doubt-usual*usual))
	return s
}

// shadedShare is the share of the bare card, away from the drops, on which the fitted
// light is far off.
func shadedShare(f *flattened, drops []placed) float64 {
	const every, far = 5, 0.06
	n, off := 0.0, 0.0
	for i := 0; i < len(f.inside); i += every {
		at := plane.Point{X: float64(i%f.w) + 0.5, Y: float64(i/f.w) + 0.5}
		if !f.inside[i] || besideAny(drops, at) {
			continue
		}
		n++
		if math.Abs(float64(f.ratio[red][i]+f.ratio[green][i]+f.ratio[blue][i])/3-1) > far {
			off++
		}
	}
	return off / max(n, 1)
}

// orShadow puts a shadow in the place of a refusal for drops that were not found, or
// too many, when one lies on the card: it hides drops and looks like them.
// Thick pieces shade the card themselves.
func (m *meter) orShadow(refusal *picture.Refusal, drops []placed) *picture.Refusal {
	if refusal == nil || m.thick {
		return refusal
	}
	const wide = 0.1
	share := shadedShare(m.f, drops)
	if share < wide {
		return refusal
	}
	return picture.Refuse(evenLightAdvice, "a shadow, or glare, lies over %.0f %% of the bare card, and %s", 100*share, refusal.What)
}

const evenLightAdvice = "photograph the card in even light, with no shadow of hand, phone or window bar on it"

// judgeSurroundings says which drops lie in a shadow or across its edge, and refuses
// the picture when the edge leaves a colour a guess.
func (r *Reading) judgeSurroundings(around []surround, drops []placed) *picture.Refusal {
	noted := notedDoubt
	if r.picture.Code.ChromaStep() > coarseChroma {
		noted *= 2 // blocks leave steps of light on the bare card too
	}
	var refused, edged, shaded []int
	for k, s := range around {
		n := drops[k].number
		switch off := math.Abs(mean3(s.light) - 1); {
		case s.doubt > mostDoubt:
			refused = append(refused, n)
		case r.blurred: // which spreads what is beside the card onto it
		case s.doubt > noted:
			edged = append(edged, n)
		case off > notedShadow:
			shaded = append(shaded, n)
		}
	}
	if len(refused) > 0 {
		return picture.Refuse(evenLightAdvice, "the edge of a shadow, or glare, lies across %s", listed("drop", "drops", refused))
	}
	if len(edged) > 0 {
		r.note("the edge of a shadow, or glare, lies by %s, so that %s less certain: %s",
			listed("drop", "drops", edged), english.Plural(len(edged), "its colour is", "their colours are"), evenLightAdvice)
	}
	if len(shaded) > 0 {
		r.note("a shadow, or glare, lies over %s; it was evened out by the bare card around each", listed("drop", "drops", shaded))
	}
	return nil
}

// believed takes of a departure what is not the rounding of the file's code, which
// is alike over a whole ring: near nothing of a small one, nearly all of a large one.
func believed(departure float64) float64 {
	const rounding = 0.008
	return departure * departure * departure / (departure*departure + rounding*rounding)
}

// planeThrough is the least squares plane of one channel. Slopes cost a little, so
// that half a ring does not run away with the middle.
func planeThrough(ring []sector, c int) (fit [3]float64) {
	const cost = 0.5
	var n, sx, sy, sxx, sxy, syy, s, sxv, syv float64
	for _, p := range ring {
		v := p.ratio[c]
		n, sx, sy = n+1, sx+p.x, sy+p.y
		sxx, sxy, syy = sxx+p.x*p.x, sxy+p.x*p.y, syy+p.y*p.y
		s, sxv, syv = s+v, sxv+p.x*v, syv+p.y*v
	}
	// About the means, the slopes' own normal equations.
	sxx, sxy, syy = sxx-sx*sx/n+cost, sxy-sx*sy/n, syy-sy*sy/n+cost
	sxv, syv = sxv-sx*s/n, syv-sy*s/n
	det := sxx*syy - sxy*sxy
	fit[1] = (sxv*syy - syv*sxy) / det
	fit[2] = (syv*sxx - sxv*sxy) / det
	fit[0] = (s - fit[1]*sx - fit[2]*sy) / n
	return fit
}
