package calibrate

import (
	"cmp"
	"math"
	"slices"

	"setshade/internal/wax"
)

// The unknowns stand in one vector: first the wax (its curve, then single
// numbers), then dye after dye (its curve, then its exponent), then those that
// only some shelves have. What no sample touches is not there at all.
const (
	logSX       = knots     // log of S·X of a drop at 550 nm
	logGain     = knots + 1 // log of the light's gain at the surface
	bend        = knots + 2 // the bend β of K/S over absorption, see bendingOf
	hidingSlope = knots + 3 // h: scattering falls as λ to the power -h
	waxUnknowns = knots + 4

	exponent    = knots // place of the exponent within a dye's unknowns
	dyeUnknowns = knots + 1

	// Of a dye that scatters: log of its scattering over that of the wax at
	// 550 nm and its reference dose, and how that ratio falls over log λ.
	scatterLevel, scatterSlope = 0, 1
	scatterUnknowns            = 2

	// absent is the place of an unknown that no sample touches.
	absent = -1
)

// DyeRange says what was tested of a dye.
type DyeRange struct {
	Name string `json:"name"`
	// ReferenceGPerKg is the geometric mean of its doses; the curve is told at
	// this dose.
	ReferenceGPerKg float64 `json:"reference_g_per_kg"`
	// MinGPerKg and MaxGPerKg are those of its set drops, or of the liquid ones where
	// none was set.
	MinGPerKg float64 `json:"min_g_per_kg"`
	MaxGPerKg float64 `json:"max_g_per_kg"`
	Drops     int     `json:"drops"`
	// LiquidDrops is how many of the drops were liquid.
	LiquidDrops int `json:"liquid_drops,omitempty"`
	// LiquidMinGPerKg and LiquidMaxGPerKg are the doses of those, 0 without any.
	LiquidMinGPerKg float64 `json:"liquid_min_g_per_kg,omitempty"`
	LiquidMaxGPerKg float64 `json:"liquid_max_g_per_kg,omitempty"`
	// Scatters says that it was learned as particles, which absorb and scatter.
	Scatters bool `json:"scatters,omitempty"`
	// LotOf names the lot of the same dye that this lot was learned beside, the
	// one with most drops; empty for a dye that stands by itself. Reference and
	// doses tested are then those of both.
	LotOf string `json:"lot_of,omitempty"`
}

// Tested returns the doses tested in a state, in g/kg: of one that was never tested
// so, those of the other.
func (r DyeRange) Tested(liquid bool) (from, to float64) {
	if liquid && r.LiquidMaxGPerKg > 0 {
		return r.LiquidMinGPerKg, r.LiquidMaxGPerKg
	}
	return r.MinGPerKg, r.MaxGPerKg
}

// rangesOf lists the dyes of the samples in order of name, and the lots that go
// with them.
func rangesOf(samples []Sample, k known) []DyeRange {
	doses, set, liquid := map[string][]float64{}, map[string][]float64{}, map[string][]float64{}
	for _, s := range samples {
		for _, p := range s.Recipe {
			doses[p.Dye] = append(doses[p.Dye], p.DoseGPerKg)
			of := set
			if s.isLiquid() {
				of = liquid
			}
			of[p.Dye] = append(of[p.Dye], p.DoseGPerKg)
		}
	}
	var out []DyeRange
	for name, d := range doses {
		sum := 0.0
		for _, c := range d {
			sum += math.Log(c)
		}
		form, declared := k.forms[name]
		r := DyeRange{
			Name: name, ReferenceGPerKg: math.Exp(sum / float64(len(d))), Drops: len(d),
			LiquidDrops: len(liquid[name]), Scatters: declared && !form.Dissolves(),
		}
		if wet := liquid[name]; len(wet) > 0 {
			r.LiquidMinGPerKg, r.LiquidMaxGPerKg = slices.Min(wet), slices.Max(wet)
		}
		r.MinGPerKg, r.MaxGPerKg = r.LiquidMinGPerKg, r.LiquidMaxGPerKg
		if dry := set[name]; len(dry) > 0 {
			r.MinGPerKg, r.MaxGPerKg = slices.Min(dry), slices.Max(dry)
		}
		out = append(out, r)
	}
	out = besideLots(out, k.lots)
	slices.SortFunc(out, func(a, b DyeRange) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

// dyeAt returns the place of a dye among the ranges, -1 when it is not there.
func dyeAt(dyes []DyeRange, name string) int {
	return slices.IndexFunc(dyes, func(d DyeRange) bool { return d.Name == name })
}

// layout says where in the vector each unknown stands.
type layout struct {
	ranges []DyeRange
	dyes   []dyePlaces
	// cards are the cards whose drops may be thicker or thinner than usual, in
	// order; empty when there is only one, whose drops are then the usual.
	cards  []string
	cardAt int
	// told is what is told of the thickness of drops, whose own unknowns stand at ownAt.
	told  thickness
	ownAt int
	// hubs[d] is the place among the dyes of the lot that dye d was learned
	// beside, -1 when it stands by itself.
	hubs []int
	// liquidScale is the log of the optical depth of a liquid drop at 550 nm
	// per absorption, liquidGain that of its light's gain, liquidRatio that of
	// the undyed wax's absorption when liquid over that when set.
	liquidScale, liquidGain, liquidRatio int
	size                                 int
}

// dyePlaces are the places of one dye's unknowns.
type dyePlaces struct {
	at          int // of its curve
	liquidRatio int // log of its absorption when liquid over that when set
	scatter     int
}

// newLayout places the unknowns of a wax with these dyes on these cards.
func newLayout(dyes []DyeRange, cards []string, liquid bool) layout {
	l := layout{ranges: dyes, liquidScale: absent, liquidGain: absent, liquidRatio: absent, size: waxUnknowns}
	place := func(needed bool, count int) int {
		if !needed {
			return absent
		}
		l.size += count
		return l.size - count
	}
	for _, d := range dyes {
		l.dyes = append(l.dyes, dyePlaces{at: place(true, dyeUnknowns)})
		l.hubs = append(l.hubs, dyeAt(dyes, d.LotOf))
	}
	for i, d := range dyes {
		l.dyes[i].scatter = place(d.Scatters, scatterUnknowns)
		l.dyes[i].liquidRatio = place(liquid && l.seenLiquid(i), 1)
	}
	l.liquidScale, l.liquidGain, l.liquidRatio = place(liquid, 1), place(liquid, 1), place(liquid, 1)
	if len(cards) > 1 {
		l.cards = cards
		l.cardAt = place(true, len(cards))
	}
	return l
}

// layoutOf places the unknowns that the samples touch, for dyes listed before.
func layoutOf(samples []Sample, dyes []DyeRange) layout {
	liquid := false
	var cards []string
	for _, s := range samples {
		liquid = liquid || s.isLiquid()
		if s.CardID != "" && !s.Thick && !slices.Contains(cards, s.CardID) {
			cards = append(cards, s.CardID)
		}
	}
	return newLayout(dyes, cards, liquid).telling(toldThickness(samples))
}

// seenLiquid reports whether a dye, or the lot beside which it was learned, was
// seen in a liquid drop.
func (l layout) seenLiquid(d int) bool {
	return l.ranges[d].LiquidDrops > 0 || l.hubs[d] >= 0 && l.ranges[l.hubs[d]].LiquidDrops > 0
}

func (l layout) liquid() bool { return l.liquidScale != absent }

// card returns the place of a card's log thickness, absent for other cards.
func (l layout) card(id string) int {
	if i := slices.Index(l.cards, id); i >= 0 {
		return l.cardAt + i
	}
	return absent
}

// ingredient is one dye of a recipe, ready to be computed with.
type ingredient struct {
	dyePlaces
	logDose float64 // log (c / reference)
}

func (l layout) ingredients(recipe wax.Recipe) []ingredient {
	out := make([]ingredient, 0, len(recipe))
	for _, p := range recipe {
		d := dyeAt(l.ranges, p.Dye)
		if d < 0 {
			panic("calibrate: no such dye: " + p.Dye)
		}
		out = append(out, ingredient{l.dyes[d], math.Log(p.DoseGPerKg / l.ranges[d].ReferenceGPerKg)})
	}
	return out
}
