package photo

import (
	"math"

	"setshade/internal/spectrum"
)

// otherRim is from where on the wax around the middle counts as of another colour, in dE00:
// of clean rendered drops, set and liquid, it was at most 3.0 off, of halves on the black
// bar 5.4.
const otherRim = 7.0

// rimPixels are those of the wax just outside of the middle.
func (m *meter) rimPixels(b *blob, on func(i int32) bool) (rim []corePixel) {
	const from, to = ringStart, ringMiddle
	within, perRadius := b.RadiusSquared(), 2/b.diameter()
	for _, i := range b.pixels {
		if rho2 := within(centreAt(i, m.f.w)); rho2 > from*from && rho2 < to*to && (on == nil || on(i)) {
			rim = append(rim, m.domePixel(b, i, perRadius, rho2))
		}
	}
	return rim
}

// besideRim compares what was read with the wax around the middle: how far this is, in
// dE00, from what the dome has in its middle, or continues to; and how much light there
// is in the middle, in the channel that has least of it, that is not around it.
func (m *meter) besideRim(rim []corePixel, fit *dome) (wax spectrum.Lab, off, added float64) {
	n := float64(len(rim))
	var lean [domeTerms]float64
	ratios := make([][channels]float64, len(rim))
	for i := range rim {
		ratios[i] = rim[i].ratio
		for k, t := range rim[i].term {
			lean[k] += t / n
		}
	}
	around := middling(ratios)
	continued := fit.middle()
	added = math.Inf(1)
	for c := range channels {
		continued[c] += fit[c][3] * lean[3]
		added = min(added, fit[c][0]+fit[c][1]*lean[1]+fit[c][2]*lean[2]-around[c])
	}
	wax = m.bare(around)
	return wax, min(spectrum.DE00(wax, m.bare(fit.middle())), spectrum.DE00(wax, m.bare(continued))), added
}
