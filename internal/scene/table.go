package scene

import "math"

// The wood of the table, in linear light: early and late growth.
var (
	lightWood = colour{0.40, 0.235, 0.125}
	darkWood  = colour{0.24, 0.125, 0.06}
)

// plankMM is the width of a plank.
const plankMM = 95.0

// wood returns the table at a place in mm: planks that run across, with growth
// lines drawn out along them.
func (t texture) wood(p Point) colour {
	plank := math.Floor((p.Y + 31) / plankMM)
	across := p.Y + 31 - plank*plankMM
	x := p.X + 500*t.value(int64(plank), 77)

	bend := 5*t.at(x/140, plank*7+across/50) + 0.8*t.at(x/40, across/14)
	growth := across/3.4 + bend
	line := growth - math.Floor(growth)
	late := smoothstep(line/0.8) * (1 - smoothstep((line-0.8)/0.2))
	fibre := t.at(x/12, across*2.2)*0.6 + t.at(x/5, across*5)*0.5
	tone := 0.14 + 0.32*late + 0.26*fibre + 0.2*t.at(x/60, across/30) + 0.18*t.value(int64(plank), 3)

	c := lightWood.towards(darkWood, min(max(tone, 0), 1))
	gap := min(across, plankMM-across)
	return c.times(1 - 0.75*(1-smoothstep(gap/0.7)))
}
