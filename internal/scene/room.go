package scene

import (
	"math"
	"math/rand/v2"
)

// Room is what stands around a card. It lights the card and the flanks of its drops,
// and their surface mirrors it.
type Room int

const (
	// WindowRoom has a window to one side; its ceiling and walls are three times darker
	// than the card.
	WindowRoom Room = iota
	// LampRoom is lit by the round shade of a lamp above one side.
	LampRoom
	// OpenSky is an overcast sky without sun or walls.
	OpenSky
)

// room is a Room as it stands around one card. Light is counted as radiance, 1 for
// that of the perfect diffuser lying in the middle of the bare card.
type room struct {
	source         *source // nil under the open sky
	ceiling, walls float64
	sky            colour // in the zenith; nothing indoors
	fill           colour // tint of all that does not come from the source
	phone          float64
}

// source is a flat thing that shines: a window, or the shade of a lamp. Right and up are
// half its sides, mm.
type source struct {
	middle, right, up vec
	round             bool
	radiance          colour
}

// The room's measures (common practice, no source).
const (
	cameraMM    = 420.0 // above the card
	phoneMM     = 35.0  // half of a phone, which hangs there dark
	phoneShines = 0.12  // lit by the card below it
	paperShines = 0.88  // the card itself, beside the foot of a steep drop
)

// newRoom draws a room of the kind around a card, its source towards the light.
func newRoom(o Options, toward Point) *room {
	r := rand.New(rand.NewPCG(o.Seed, 0x2003))
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	at := &room{fill: colour{1.04, 1, 0.93}, phone: phoneMM}
	elevation, away, wide, high := between(32, 50), between(1100, 1600), between(350, 550), between(400, 600)
	switch o.Room {
	case WindowRoom:
		at.ceiling, at.walls = between(0.22, 0.42), between(0.2, 0.4)
	case LampRoom:
		at.ceiling, at.walls = between(0.28, 0.42), between(0.2, 0.4)
		elevation, away = between(42, 58), between(450, 650)
		wide = between(45, 75)
		high = wide
	case OpenSky:
		at.fill, at.sky = colour{1, 1, 1}, colour{1, 1, 1}
		at.sky = at.sky.times(1 / at.light(vec{}, vec{0, 0, 1})[1])
		return at
	}
	if o.SourceDegrees != 0 {
		elevation = o.SourceDegrees
	}
	sin, cos := math.Sincos(elevation * math.Pi / 180)
	s := &source{
		middle: vec{cos * toward.X, cos * toward.Y, sin}.times(away),
		right:  vec{-toward.Y, toward.X, 0}.times(wide),
		up:     vec{0, 0, high}, // a window stands upright
		round:  o.Room == LampRoom,
	}
	if s.round { // a lamp looks at the card
		s.up = vec{-sin * toward.X, -sin * toward.Y, cos}.times(high)
	}
	// What the card's light lacks without the source is the source's.
	rest, own := at.light(vec{}, vec{0, 0, 1}), s.flux(vec{}, vec{0, 0, 1})
	for c := range rest {
		s.radiance[c] = (1 - rest[c]) / own
	}
	at.source = s
	return at
}

// around is the radiance that arrives from a direction, the source's left out.
func (r *room) around(at, from vec) colour {
	rise := from[2]
	if rise <= 0 {
		return colour{paperShines, paperShines, paperShines}
	}
	light := r.fill.times(mix(r.walls, r.ceiling, smoothstep((rise-0.55)/0.2)) * (0.45 + 0.55*smoothstep(rise/0.25)))
	// CIE overcast sky (CIE S 011 / ISO 15469, type 16): a third of the zenith at the horizon.
	light = light.sum(r.sky.times((1 + 2*rise) / 3))
	over := at.plus(from.times(cameraMM / rise))
	dark := smoothstep((r.phone*1.15 - math.Hypot(over[0], over[1])) / (0.3 * phoneMM))
	return light.towards(colour{phoneShines, phoneShines, phoneShines}, dark)
}

// ray is light from a part of a source: its direction, and the solid angle it fills.
type ray struct {
	from  vec
	angle float64
}

// rays cuts the source into parts, so many each way, as a place sees them.
func (s *source) rays(at vec, parts int) []ray {
	face := s.right.cross(s.up)
	area := 4 * face.length() / float64(parts*parts)
	face = face.unit()
	var out []ray
	for i := range parts * parts {
		a := 2*(float64(i%parts)+0.5)/float64(parts) - 1
		b := 2*(float64(i/parts)+0.5)/float64(parts) - 1
		if s.round && a*a+b*b > 1 {
			continue
		}
		way := s.middle.plus(s.right.times(a)).plus(s.up.times(b)).plus(at.times(-1))
		from, far := way.unit(), way.length()
		if from[2] > 0 {
			out = append(out, ray{from, area * math.Abs(from.dot(face)) / (far * far)})
		}
	}
	return out
}

// flux is the light on a surface that faces n from a source of radiance 1.
func (s *source) flux(at, n vec) float64 {
	sum := 0.0
	for _, ray := range s.rays(at, shadeParts) {
		sum += max(0, ray.from.dot(n)) * ray.angle / math.Pi
	}
	return sum
}

// In how many parts each way the source is cut for shade and for cast shadows, and from
// how many directions the rest of the room shines.
const (
	shadeParts  = 8
	shadowParts = 5
	directions  = 600
)

// light is the light on a surface that faces n, as the radiance of the perfect diffuser
// there:
//
//	1/π ∫ L(ω) max(0, n·ω) dω
//
// over directions on a spiral from pole to pole, evenly spread.
func (r *room) light(at, n vec) colour {
	var sum colour
	for i := range directions {
		rise := 1 - 2*(float64(i)+0.5)/directions
		sin, cos := math.Sincos(float64(i) * math.Pi * (3 - math.Sqrt(5)))
		level := math.Sqrt(1 - rise*rise)
		from := vec{level * cos, level * sin, rise}
		if facing := from.dot(n); facing > 0 {
			sum = sum.sum(r.around(at, from).times(facing * 4 / directions))
		}
	}
	if r.source != nil {
		sum = sum.sum(r.source.radiance.times(r.source.flux(at, n)))
	}
	return sum
}
