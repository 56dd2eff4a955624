package photo

import (
	"math"

	"setshade/internal/picture"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

// brightestWax is the brightness above which a pixel of a drop's middle can be no wax:
// a little above the drop between its middle and its rim. Wax is thinner there, and
// the card shines through, so that it is as bright as the middle or brighter; where
// the middle is the brighter one, a lamp mirrors in it. It is infinite where too
// little of the drop can be seen there; over black, which shines through darker, it
// says nothing.
func (m *meter) brightestWax(b *blob, on func(i int32) bool) float64 {
	const from, to, leastPixels = 0.68, 0.88, 24
	around := make([]float64, 0, len(b.pixels)/2)
	within := b.RadiusSquared()
	for _, i := range b.pixels {
		r2 := within(centreAt(i, m.f.w))
		if r2 > from*from && r2 < to*to && (on == nil || on(i)) {
			around = append(around, float64(m.f.ratio[red][i]+m.f.ratio[green][i]+m.f.ratio[blue][i])/channels)
		}
	}
	if len(around) < leastPixels {
		return math.Inf(1)
	}
	// A dome lit from one side is brighter on it than its rim is in the middle.
	const margin, shaded = 0.02, 0.08
	wax := rank.Median(around)
	return wax + margin + shaded*wax
}

// mostlyRead reports whether enough of the middle shows wax: the rest is only
// continued from there.
func mostlyRead(core []corePixel) bool {
	const least = 0.35
	read := 0.0
	for i := range core {
		if core[i].use == useRead {
			read++
		}
	}
	return read >= least*float64(len(core))
}

const turnFromGlare = "turn the card or move the lamp so that the light does not mirror in the drops"

// How much more light than the wax around it the middle of a drop may have in all
// channels, as a share of white: more is a veil of mirrored light, since wax is thinner
// around the middle and card shines through. Rendered drops, set and liquid, had at most
// 0.008 more; halves on the black bar, lit from one side, up to 0.029.
const (
	veiledWhole = 0.012
	veiledHalf  = 0.045
)

// whiterThanCard refuses a drop brighter than the bare card beside it, and so light as
// wax is not: a lamp mirrors in all of it, or the card is darker than it is taken to be
// and white wax lighter than the card.
func whiterThanCard(d *Drop, r *domeReading, bare [channels]float64) *picture.Refusal {
	const brighter, whitest = 1.03, 97 // of the card; L*
	if mean3(r.ratio) > brighter && d.Colour.Lab.L > whitest {
		return picture.Refuse(turnFromGlare+"; where none does, say how white the card is by a line in the plan, such as: card 92 0 0",
			"drop %d is brighter than the bare card beside it, which is taken to have L* %.1f: a light mirrors in all of the drop, or the card is less white than that",
			d.Number, spectrum.LabOfLinear(bare[red], bare[green], bare[blue]).L)
	}
	return nil
}
