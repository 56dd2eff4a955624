package scene

import (
	"math"

	"setshade/internal/scene/transport"
)

// surface is how the surface of one drop answers to the room, by its tilt.
type surface struct {
	shade, mirrored tilts
	// flatter is by how much less light inside the wax follows the tilt.
	flatter float64
}

// The roughness of a surface is α of GGX, the slope of its facets. Wax that has set is
// satin, liquid wax smooth.
const (
	usualRoughness  = 0.12
	liquidRoughness = 0.025
)

// newSurface works out a drop's surface. Light wanders inside wax for some 1/σ' before it
// leaves, which evens out the shade of a small drop of translucent wax; liquid wax does
// not scatter, and shows the card, which lies flat.
func (st *stage) newSurface(d *drop, index, reducedPerMM, rough float64) surface {
	at := vec{d.middle.X, d.middle.Y, 0}
	level := st.room.light(at, vec{0, 0, 1})
	steepest := math.Sin(math.Atan(d.capSlope(0.999))) + 0.06
	s := surface{flatter: reducedPerMM * d.radiusMM / (reducedPerMM*d.radiusMM + 2)}
	s.shade = newTilts(11, min(1, steepest), func(n vec) colour {
		light := st.room.light(at, n)
		return colour{light[0] / level[0], light[1] / level[1], light[2] / level[2]}
	})
	eye := vec{0, 0, cameraMM}.plus(at.times(-1)).unit()
	var glints []glint
	if st.room.source != nil {
		glints = st.room.source.glints(at, eye, int(math.Ceil(10+0.5/rough)), index)
	}
	s.mirrored = newTilts(49, min(1, steepest), func(n vec) colour {
		return st.room.mirrored(at, n, eye, glints, index, rough)
	})
	return s
}

// mirrored is the radiance that a rough surface that faces n mirrors to the eye:
//
//	∫ L(l) F(v·h) D(n·h) / (4 n·v) dl,   D = α² / (π ((n·h)² (α² - 1) + 1)²)
//
// with F by Fresnel and h half way from the light l to the eye v (Walter and others 2007,
// "Microfacet models for refraction through rough surfaces", EGSR, equations 20 and 33;
// facets that hide one another left out). The source is summed over its parts, the rest
// of the room over facets drawn by their share.
func (r *room) mirrored(at, n, eye vec, glints []glint, index, rough float64) colour {
	var sum colour
	if r.source != nil {
		light, a2 := 0.0, rough*rough
		for i := range glints {
			g := &glints[i]
			c := g.half[0]*n[0] + g.half[1]*n[1] + g.half[2]*n[2]
			d := c*c*(a2-1) + 1
			if c > 0 && d < 400*a2 { // beyond, less than 1/160,000 of the peak
				light += g.share / (d * d)
			}
		}
		light *= a2 / math.Pi
		sum = r.source.radiance.times(light / (4 * max(0.2, n.dot(eye))))
	}
	side := n.cross(vec{0, 1, 0}).unit()
	ahead := side.cross(n)
	var rest colour
	weights := 0.0
	const rings, around = 5, 8
	for i := range rings * around {
		u := (float64(i/around) + 0.5) / rings
		sin, cos := math.Sincos((float64(i%around) + 0.5*float64(i/around%2)) * 2 * math.Pi / around)
		slope := rough * math.Sqrt(u/(1-u))
		facet := n.plus(side.times(slope * cos)).plus(ahead.times(slope * sin)).unit()
		seen := facet.dot(eye)
		if seen <= 0 {
			continue
		}
		from := facet.times(2 * seen).plus(eye.times(-1))
		w := seen / facet.dot(n)
		rest = rest.sum(r.around(at, from).times(w * transport.Fresnel(index, seen)))
		weights += w
	}
	return sum.sum(rest.times(1 / max(weights, 1e-9)))
}

// glint is a part of the source as facets half way to the eye mirror it: their normal, and
// the solid angle of the part by Fresnel's share of it.
type glint struct {
	half  vec
	share float64
}

func (s *source) glints(at, eye vec, parts int, index float64) []glint {
	var out []glint
	for _, ray := range s.rays(at, parts) {
		half := ray.from.plus(eye).unit()
		out = append(out, glint{half, ray.angle * transport.Fresnel(index, half.dot(eye))})
	}
	return out
}

// tilts is a colour by the tilt of a surface: a square of the level parts x, y of its
// normal, each from -widest to widest.
type tilts struct {
	side   int
	widest float64
	of     []colour
}

func newTilts(side int, widest float64, at func(n vec) colour) tilts {
	t := tilts{side, widest, make([]colour, side*side)}
	inRows(side, func(y int) {
		for x := range side {
			n := vec{t.tilt(x), t.tilt(y)}
			if level := math.Hypot(n[0], n[1]); level > 0.999 {
				n = n.times(0.999 / level)
			}
			n[2] = math.Sqrt(1 - n[0]*n[0] - n[1]*n[1])
			t.of[y*side+x] = at(n)
		}
	})
	return t
}

func (t tilts) tilt(i int) float64 { return t.widest * (2*float64(i)/float64(t.side-1) - 1) }

func (t tilts) at(x, y float64) colour {
	place := func(v float64) (int, float64) {
		at := min(max((v/t.widest+1)/2, 0), 1) * float64(t.side-1)
		i := min(int(at), t.side-2)
		return i, at - float64(i)
	}
	ix, fx := place(x)
	iy, fy := place(y)
	row := t.of[iy*t.side+ix:]
	return row[0].towards(row[1], fx).towards(row[t.side].towards(row[t.side+1], fx), fy)
}

// A drop is a spherical cap; a thicker piece is one on an upright wall.
const steepestCap = 0.6 // height over radius

// cap returns the radius of the drop's sphere, mm, and the height of the cap.
func (d *drop) cap() (sphere, height float64) {
	height = min(d.thicknessMM, steepestCap*d.radiusMM)
	return (d.radiusMM*d.radiusMM + height*height) / (2 * height), height
}

// capHeight is the height of the drop as a share of its middle's, by reach.
func (d *drop) capHeight(reach float64) float64 {
	sphere, _ := d.cap()
	across := min(reach, 1) * d.radiusMM
	return 1 - (sphere-math.Sqrt(sphere*sphere-across*across))/d.thicknessMM
}

// capSlope is how steeply it falls there.
func (d *drop) capSlope(reach float64) float64 {
	sphere, _ := d.cap()
	across := min(reach, 1) * d.radiusMM
	return across / math.Sqrt(sphere*sphere-across*across)
}

// The bumps of a drop that has set: their height and width, mm.
const bumpMM, bumpWideMM = 0.03, 2.5

// tilt returns the level parts of the normal of a drop's surface at a place.
func (st *stage) tilt(d *drop, p Point, reach float64) (x, y float64) {
	x, y = p.X-d.middle.X, p.Y-d.middle.Y
	if far := math.Hypot(x, y); far > 0 {
		steep := d.capSlope(reach) / far
		x, y = x*steep, y*steep
	}
	if !st.liquid {
		const step = 0.05
		here := st.table.at(p.X/bumpWideMM+900, p.Y/bumpWideMM)
		x -= bumpMM * (st.table.at((p.X+step)/bumpWideMM+900, p.Y/bumpWideMM) - here) / step
		y -= bumpMM * (st.table.at(p.X/bumpWideMM+900, (p.Y+step)/bumpWideMM) - here) / step
	}
	long := math.Sqrt(1 + x*x + y*y)
	return x / long, y / long
}

// fromHigher is how far light that leaves a low part of a drop came in through a higher
// one, as a share of what is higher there. Path-traced drops have 0.15 to 0.2.
const fromHigher = 0.17

// body is the light that leaves a drop's wax, mirrored light left out.
func (st *stage) body(i int, p Point, reach float64) colour {
	return st.over(p, func(ink int) colour { return st.bodyOver(ink, i, p, reach) })
}

// bodyOver is that over one ink.
func (st *stage) bodyOver(ink, i int, p Point, reach float64) colour {
	d := &st.drops[i]
	high := d.capHeight(reach)
	at := (high + fromHigher*(1-high)) * rampSteps
	step := min(int(at), rampSteps-1)
	ramp := st.ramps[i][ink]
	c := ramp[step].towards(ramp[step+1], at-float64(step))
	x, y := st.tilt(d, p, reach)
	s := &st.surfaces[i]
	return c.under(s.shade.at(x*s.flatter, y*s.flatter))
}

// mirroredAt is the light that a drop mirrors. The room's own light does not fall off
// over the card.
func (st *stage) mirroredAt(i int, p Point, reach float64) colour {
	x, y := st.tilt(&st.drops[i], p, reach)
	return st.surfaces[i].mirrored.at(x, y).times(st.highlight * st.lamp.on(Point{})[1])
}

// The shadow of a drop: how soft the edge of one ray's shadow is, how much of the source the
// wax stops, and how much of all light the card lacks at the drop's rim.
const (
	shadowSoftMM = 0.3
	waxStops     = 0.9
	atTheRim     = 0.03
)

// lit is the share of the room's light, by channel, that drops leave to a place on the
// card: light from the source is cut off by the sphere of a drop's cap, and the rest of
// the room, which fills the shadow, only close to the rim.
func (st *stage) lit(p Point) colour {
	out := colour{1, 1, 1}
	for i := range st.drops {
		d := &st.drops[i]
		if !d.reaches(p) {
			continue
		}
		if st.room.source != nil {
			blocked := 0.0
			reach := d.reach(p)
			x, y := p.X-d.middle.X, p.Y-d.middle.Y
			round := reach * d.radiusMM / max(math.Hypot(x, y), 1e-9)
			sphere, height := d.cap()
			from := vec{x * round, y * round, sphere - height}
			for _, ray := range st.shadowRays {
				along := from.dot(ray.from)
				if along < 0 {
					clear := math.Sqrt(max(0, from.dot(from)-along*along)) - sphere
					blocked += ray.angle * ray.from[2] / math.Pi * (1 - edge(clear, shadowSoftMM))
				}
			}
			for c, radiance := range st.room.source.radiance {
				out[c] -= min(1, st.shadow) * waxStops * blocked * radiance
			}
		}
		out = out.times(1 - min(1, st.shadow)*atTheRim*(1-smoothstep((d.reach(p)-1)/0.14)))
	}
	return out
}

// vec is a direction or a place in mm: right, down, and up from the card.
type vec [3]float64

func (v vec) plus(w vec) vec      { return vec{v[0] + w[0], v[1] + w[1], v[2] + w[2]} }
func (v vec) times(f float64) vec { return vec{v[0] * f, v[1] * f, v[2] * f} }
func (v vec) dot(w vec) float64   { return v[0]*w[0] + v[1]*w[1] + v[2]*w[2] }
func (v vec) length() float64     { return math.Sqrt(v.dot(v)) }
func (v vec) unit() vec           { return v.times(1 / v.length()) }
func (v vec) cross(w vec) vec {
	return vec{v[1]*w[2] - v[2]*w[1], v[2]*w[0] - v[0]*w[2], v[0]*w[1] - v[1]*w[0]}
}
