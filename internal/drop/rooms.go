package drop

import (
	"math"

	"setshade/internal/leastsquares"
)

// kind is what a kind of room says of the mirrored light, before the drops are asked:
// shares of white, with standard deviations.
type kind struct {
	room, roomSD float64
	// shield is what a dark thing above the card takes of the room in its middle, 0 for
	// none, and wide its width in tilt.
	shield, wide float64
}

// The kinds of room that a photograph is tried with.
//
//   - indoors: a window or lamp lights the card from one side, and what stands above is
//     darker than the card;
//   - sky: the overcast sky is itself the light, and brighter than the card that it
//     lights;
//   - covered: a sky from which a black sheet around the lens takes the middle.
//
// A window or lamp stands in the drops as a lobe of more than lobeOfLamp of white; the
// bright part of an overcast sky is fainter. Path-traced rooms: 0.06 to 0.4 indoors, 0.02
// to 0.08 under a sky. A sheet is supposed only on strong evidence, since a rise of
// the mirrored light towards the rim has other causes.
const (
	indoors = iota
	sky
	covered
	kinds
)

const (
	lobeOfLamp     = 0.065
	lobeOfLampSD   = 0.2 // of its logarithm
	againstCovered = 25.0
	// Under a sheet the flanks of a drop see the sky and its middle does not: without
	// one the shade falls off from the middle on.
	flanksLit = -0.05
)

// Rooms mirror by Fresnel's law 3.25 % of their radiance over the card's. That of an
// overcast sky is 9/7 of the card's overhead (CIE S 011, the standard overcast sky), with
// its bright part a little more: skyLight. That of a ceiling falls with the share of the
// light that comes from one side, which the gradient of the shade shows; the two numbers
// of roomLight were settled on path-traced rooms with windows and lamps.
const (
	skyLight = 0.0445
	roomSD   = 0.006
	skySD    = 0.005
)

func roomLight(gradient float64) float64 { return 0.034 / (1 + 3.2*gradient) }

// A liquid drop is flat and mirrors only what stands right above: the ceiling, which is
// darker than the walls, or the sky with the dark telephone in it.
const (
	liquidRoom, liquidRoomSD = 0.0115, 0.002
	liquidSky                = 0.046
	telephone, telephoneWide = 0.03, 0.06
	sheet, sheetWide         = 0.030, 0.3
)

// suppose returns a kind of room as it is in a photograph whose shade and lobe are about
// as in x.
func (m *model) suppose(which int, x []float64) kind {
	all := x[m.first:]
	switch {
	case which == indoors && m.liquid:
		return kind{room: liquidRoom, roomSD: liquidRoomSD, shield: telephone / 10, wide: telephoneWide}
	case which == indoors:
		return kind{room: roomLight(math.Hypot(all[gradient], all[gradient+1])), roomSD: roomSD}
	case which == covered:
		return kind{room: skyLight, roomSD: skySD, shield: sheet, wide: sheetWide}
	case m.liquid:
		return kind{room: liquidSky, roomSD: skySD, shield: telephone, wide: telephoneWide}
	}
	bright := lobe(math.Exp(all[height]), -all[lobeAt], -all[lobeAt+1], all[width], all[ellipse], all[ellipse+1], all[tail])
	return kind{room: skyLight - bright.value, roomSD: skySD}
}

// odds are the logarithms of how likely each kind is by the lobe that was found.
func (m *model) odds(x []float64) (odds [kinds]float64) {
	if m.liquid {
		odds[covered] = math.Inf(-1) // a flat drop sees nothing of what lies beyond the sheet
		return odds
	}
	lamp := (x[m.first+height] - math.Log(lobeOfLamp)) / lobeOfLampSD
	odds = [kinds]float64{lamp / 2, -lamp / 2, math.Inf(-1)}
	if x[m.first+curve] > flanksLit {
		odds[covered] = -lamp/2 - againstCovered
	}
	return odds
}

// prior is a normal distribution of an unknown.
type prior struct {
	unknown  int
	mean, sd float64
}

// The slope of a drop at its rim: set drops are caps a third as high as wide, liquid ones
// an eighth. thinner is the share of its depth that a drop loses at the rim: a set drop
// hides the card, light goes through a liquid one.
const (
	slopeSet, slopeLiquid         = 0.6, 0.28
	thinnerSet, thinnerSetSD      = 0.03, 0.03
	thinnerLiquid, thinnerLiquidS = 0.6, 0.2
)

// priors lists what is known of the unknowns beforehand: ranges, as wide as drops,
// windows and lamps are.
func (m *model) priors() []prior {
	usual, thin, thinSD := slopeSet, thinnerSet, thinnerSetSD
	if m.liquid {
		usual, thin, thinSD = slopeLiquid, thinnerLiquid, thinnerLiquidS
	}
	var list []prior
	for d := range m.seen {
		first := d * ofDrop
		list = append(list, prior{first + slope, math.Log(usual), 0.25},
			prior{first + stray, 0, 0.02}, prior{first + stray + 1, 0, 0.02})
		for j := range 3 {
			list = append(list, prior{first + body + j, -1.5, 2}, prior{first + bend + j, 0, 0.05})
		}
	}
	for _, p := range []prior{
		{gradient, 0, 0.5}, {gradient + 1, 0, 0.5}, {curve, -0.25, 0.25},
		{room, m.kind.room, m.kind.roomSD}, {tint, 0, 0.05}, {tint + 1, 0, 0.1}, {lean, 0, 0.01}, {lean + 1, 0, 0.01},
		{height, math.Log(0.1), 1}, {lobeAt, 0, 0.5}, {lobeAt + 1, 0, 0.5}, {width, math.Log(0.12), 0.4},
		{ellipse, 0, 0.25}, {ellipse + 1, 0, 0.25},
		{drift, 0, 0.05}, {drift + 1, 0, 0.05}, {drift + 2, 0, 0.05}, {drift + 3, 0, 0.05},
		{lobeTint, 0, 0.05}, {lobeTint + 1, 0, 0.1},
		{thinning, thin, thinSD}, {thinning + 1, 0, thinSD},
		{shield, m.kind.shield, 0.2*m.kind.shield + 1e-4}, {shieldAt, 0, 0.05}, {shieldAt + 1, 0, 0.05},
		{shieldWide, math.Log(max(m.kind.wide, 0.01)), 0.2}, {shieldNear, -0.1, 0.03},
	} {
		list = append(list, prior{m.first + p.unknown, p.mean, p.sd})
	}
	return list
}

// A wide lobe is a window, flat on top with edges that the surface's roughness softens; a
// narrow one is a lamp, and all of it roughness, whose reflection falls off as the second
// power (GGX: Walter, Marschner, Li and Torrance 2007, "Microfacet models for refraction",
// Eurographics Symposium on Rendering).
const (
	lampTail, lampWidth = 2.0, 0.1
	tailByWidth         = 0.4
	tailSD              = 0.1
)

func (m *model) addPriors(x []float64, into *leastsquares.Sum) {
	for _, p := range m.priors() {
		into.Add((x[p.unknown]-p.mean)/p.sd, 1, []int{p.unknown}, []float64{1 / p.sd})
	}
	t, w := m.first+tail, m.first+width
	into.Add((x[t]-math.Log(lampTail)-tailByWidth*(x[w]-math.Log(lampWidth)))/tailSD, 1,
		[]int{t, w}, []float64{1 / tailSD, -tailByWidth / tailSD})
}
