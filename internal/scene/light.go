package scene

import (
	"math"
	"math/rand/v2"
)

// light is the light on the table: a window to one side, near enough to fall
// off over the card.
type light struct {
	toward Point // unit vector on the card to the window
	// fall is the logarithm of the light from one side of the card to the other,
	// bow how much of it is curved.
	fall, bow float64
	tint      float64
	half      float64 // of the card, along toward
}

// newLight draws a window somewhere to the upper left or upper right.
func newLight(r *rand.Rand, o Options, card Point) light {
	angle := (-125 + 35*(2*r.Float64()-1)) * math.Pi / 180
	if r.IntN(2) == 0 {
		angle = -math.Pi - angle
	}
	sin, cos := math.Sincos(angle)
	return light{
		toward: Point{cos, sin},
		fall:   math.Log(max(1, o.lightRatio())),
		bow:    0.25 * (2*r.Float64() - 1),
		tint:   o.LightTint,
		half:   (math.Abs(cos)*card.X + math.Abs(sin)*card.Y) / 2,
	}
}

// on returns the light at a place on the card, 1 or less on the card, with its
// tint.
func (l light) on(p Point) colour {
	along := (p.X*l.toward.X + p.Y*l.toward.Y) / l.half // -1..1 on the card
	x := min(max(along, -2), 2)
	share := (1-x)/2 + l.bow*(1-x*x)/4 // 0 on the near side, 1 on the far
	level := math.Exp(-l.fall * share)
	return colour{level * (1 + l.tint*x/2), level, level * (1 - l.tint*x/2)}
}
