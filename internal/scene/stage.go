package scene

import (
	"math"
	"math/rand/v2"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// stage is a sheet laid on the table, lit, and seen by the camera.
type stage struct {
	size     Point // of the card, mm
	drops    []drop
	ramps    []map[int]*ramp // colour of each drop by height, over each ink below it
	printed  *printed        // nil on a bare card
	chart    *chartBeside    // nil for none
	inks     []colour        // of the bare card, and of the print
	camera   camera
	lamp     light
	room     *room
	surfaces []surface
	// shadowRays go from the middle of the card to the room's source.
	shadowRays []ray
	table      texture
	toPicture  Homography
	exposure   float64
	shadow     float64
	veil       float64
	highlight  float64
	liquid     bool
	soft       float64 // half the width of a pixel's edge, mm
}

// rampSteps is in how many heights the colour of a drop is worked out.
const rampSteps = 48

func newStage(s Sheet, o Options, r *rand.Rand) *stage {
	size, px := s.sizeMM(), o.size()
	picture := Point{float64(px.X), float64(px.Y)}
	st := &stage{
		size:      size,
		drops:     s.drops(r, strength(o.Jitter)),
		camera:    newCamera(o, s.Card),
		lamp:      newLight(r, o, size),
		table:     texture(r.Uint64()),
		toPicture: o.view(s.shown(), size, picture),
		shadow:    strength(o.Shadow),
		highlight: strength(o.Highlight),
		liquid:    s.State == wax.LiquidState,
	}
	st.inks = []colour{st.camera.sees(s.Card)}
	st.exposure = o.exposure() / max(st.inks[bareCard][0], st.inks[bareCard][1], st.inks[bareCard][2])
	st.veil = o.Veil * o.exposure()
	a, b := st.toPicture.Map(Point{}), st.toPicture.Map(Point{X: 1})
	st.soft = 0.6 / math.Hypot(b.X-a.X, b.Y-a.Y)
	if s.Chart != nil {
		st.layChart(s.Chart)
	}
	if s.Print != nil {
		st.printed = newPrinted(*s.Print, s.printer(), s.Card, st.soft)
		for _, ink := range st.printed.inks[1:] {
			st.inks = append(st.inks, st.camera.sees(ink))
		}
	}
	for i := range st.drops {
		st.ramps = append(st.ramps, st.rampsOf(s, &st.drops[i]))
	}
	st.furnish(o, s.Shelf.Wax.optics)
	return st
}

// furnish puts the room around the card.
func (st *stage) furnish(o Options, wax WaxOptics) {
	st.room = newRoom(o, st.lamp.toward)
	if st.room.source != nil {
		st.shadowRays = st.room.source.rays(vec{}, shadowParts)
	}
	reduced, rough := wax.reducedPerMM(), orUsual(o.Roughness, usualRoughness)
	if st.liquid {
		reduced, rough = 0, liquidRoughness
	}
	for i := range st.drops {
		st.surfaces = append(st.surfaces, st.newSurface(&st.drops[i], wax.RefractiveIndex, reduced, rough))
	}
}

// ramp is the colour of a drop where its height is 0, 1/48 and so on of the
// middle's.
type ramp [rampSteps + 1]colour

// rampsOf returns the ramps of a drop by the ink below it.
func (st *stage) rampsOf(s Sheet, d *drop) map[int]*ramp {
	below := map[int]spectrum.Spectrum{bareCard: s.Card}
	if st.printed != nil {
		below = st.printed.inksNear(d.middle, farthest*d.radiusMM)
	}
	ramps := map[int]*ramp{}
	for ink := range below {
		ramps[ink] = &ramp{}
	}
	for i := range rampSteps + 1 {
		height := max(float64(i)/rampSteps, 0.004)
		film := s.Shelf.layer(d.recipe, s.State, height*d.thicknessMM)
		for ink, reflectance := range below {
			ramps[ink][i] = st.camera.sees(film.over(reflectance))
		}
	}
	return ramps
}

// over returns the colour at a place, given that over each ink.
func (st *stage) over(p Point, of func(ink int) colour) colour {
	if st.printed == nil {
		return of(bareCard)
	}
	return st.printed.colour(p, of)
}

// at returns the light that a place on the table or card sends to the camera.
func (st *stage) at(p Point) colour {
	lamp := st.lamp.on(p).times(st.exposure)
	inside := st.insideCard(p)
	if inside <= -st.soft {
		return st.tableAt(p).under(lamp)
	}
	c := st.cardAt(p).under(lamp)
	if inside < st.soft {
		return st.tableAt(p).under(lamp).towards(c, (inside+st.soft)/(2*st.soft))
	}
	for i := range st.drops {
		d := &st.drops[i]
		if !d.reaches(p) {
			continue
		}
		reach := d.reach(p)
		rim := (1 - reach) * d.radiusMM // mm inside the rim
		if rim > -st.soft {
			covers := min(1, (rim+st.soft)/(2*st.soft))
			c = c.towards(st.dropAt(i, p, min(reach, 1), lamp), covers)
		}
	}
	return c
}

// insideCard returns how many mm a place is inside the card, below 0 outside.
func (st *stage) insideCard(p Point) float64 {
	return min(st.size.X/2-math.Abs(p.X), st.size.Y/2-math.Abs(p.Y))
}

// tableAt returns the table, in the shadow of the card's edge, or what lies on it.
func (st *stage) tableAt(p Point) colour {
	if st.chart != nil {
		if c, on := st.chart.at(p); on {
			return c
		}
	}
	c := st.table.wood(p)
	// The edge stands about half a mm above the table.
	lit := Point{p.X + 1.3*st.lamp.toward.X, p.Y + 1.3*st.lamp.toward.Y}
	dark := 0.45 * smoothstep((st.insideCard(lit)+1.4)/2.0)
	dark = max(dark, 0.35*smoothstep((st.insideCard(p)+1.1)/1.1))
	return c.times(1 - min(1, st.shadow)*dark)
}

// cardAt returns the card with its faint tooth, in the shadows of the drops.
func (st *stage) cardAt(p Point) colour {
	tooth := 0.003*st.table.at(p.X*1.7, p.Y*1.7) + 0.002*st.table.at(p.X/11, p.Y/11)
	light := 1 + tooth
	return st.over(p, func(ink int) colour { return st.inks[ink] }).times(light).under(st.lit(p))
}

// dropAt returns a drop: the light that leaves its wax, and the room mirrored in it.
func (st *stage) dropAt(i int, p Point, reach float64, lamp colour) colour {
	return st.body(i, p, reach).under(lamp).sum(st.mirroredAt(i, p, reach).times(st.exposure))
}

// edge rises from 0 to 1 around 0, over twice the softness.
func edge(x, soft float64) float64 { return smoothstep((x + soft) / (2 * soft)) }
