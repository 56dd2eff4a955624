package photo

import (
	"math"

	"setshade/internal/card"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// patchLight tells the light on the strip's patches by the bare paper above and
// below each, where a shadow or glare passes the fitted light by.
type patchLight struct {
	card  *printedCard
	p     *picture.Picture
	white *surface
	scale float64 // pixels of p to one of the picture that white was fitted in
	mask  *printMask
}

func newPatchLight(c *printedCard, p *picture.Picture, white *surface, scale float64) patchLight {
	const around = 0.5 // mm: ink spreads, and so does JPEG's blur
	return patchLight{c, p, white, scale, newPrintMask(c.geometry, around, true)}
}

// at returns the light of card white on a patch over the fitted one, and whether it
// is even enough to say so: not across the edge of a shadow.
func (l patchLight) at(r card.Rect) (light [channels]float64, even bool) {
	const reach, uneven = 3.5, 0.06 // mm
	above := card.Rect{Min: card.Point{X: r.Min.X, Y: r.Min.Y - reach}, Max: card.Point{X: r.Max.X, Y: r.Min.Y}}
	below := card.Rect{Min: card.Point{X: r.Min.X, Y: r.Max.Y}, Max: card.Point{X: r.Max.X, Y: r.Max.Y + reach}}
	light, n := [channels]float64{}, 0.0
	least, most := math.Inf(1), math.Inf(-1)
	for _, band := range []card.Rect{above, below} {
		for _, end := range halves(band) {
			part, ok := l.paper(end)
			if !ok {
				continue
			}
			n++
			for c := range light {
				light[c] += part[c]
			}
			least, most = min(least, mean3(part)), max(most, mean3(part))
		}
	}
	if n == 0 {
		return [channels]float64{1, 1, 1}, true
	}
	for c := range light {
		light[c] = 1 + believed(light[c]/n-1)
	}
	return light, most-least < uneven
}

// halves parts a band into its left and right.
func halves(r card.Rect) [2]card.Rect {
	left, right := r, r
	left.Max.X = (r.Min.X + r.Max.X) / 2
	right.Min.X = left.Max.X
	return [2]card.Rect{left, right}
}

// paper is the median of bare paper over the fitted light within a rectangle.
func (l patchLight) paper(r card.Rect) (ratio [channels]float64, ok bool) {
	back := l.card.onto.Inverse()
	var values [channels][]float64
	plane.EachRow(l.card.outlineOf(r), l.p.W, l.p.H, func(y, from, to int) {
		row := l.white.row(float64(y)+0.5, l.scale)
		for x := from; x < to; x++ {
			at := plane.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}
			if !l.mask.isBare(back.Apply(at)) {
				continue
			}
			for c := range values {
				white := horner(&row[c], at.X/l.scale/l.white.halfW-1)
				values[c] = append(values[c], float64(l.p.Light[c][y*l.p.W+x])/max(white, 1e-4))
			}
		}
	})
	const leastPixels = 12
	if len(values[0]) < leastPixels {
		return ratio, false
	}
	for c := range ratio {
		ratio[c] = rank.Median(values[c])
	}
	return ratio, isCard(ratio)
}
