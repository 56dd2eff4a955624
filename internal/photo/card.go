package photo

import (
	"math"
	"slices"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// findSide is the longer side, in pixels, of the picture the card is found in.
const findSide = 256

// bareCard is the card as found: its corners in the coarse picture and the
// pixels there that grew together as one even, bright region.
type bareCard struct {
	corners plane.Quad
	even    []bool
	// bare says where card can be bare at all; nil for anywhere.
	bare []bool
	// cut says that the card runs out of the frame, touched that along a side it does not
	// end in anything darker.
	cut, touched bool
}

const stepBack = "place the white card on a darker table and photograph it from straight above with all four edges in the picture"

// findCard looks for the brightest even region that fills a four-sided outline
// and is brighter than what lies around it.
func findCard(p *picture.Picture) (bareCard, *picture.Refusal) {
	regions, label := evenRegions(p)
	const leastShare = 0.08 // of the frame; drops and shadows take their part of a card that fills 25 %
	var found []region
	for _, r := range regions {
		if float64(len(r.pixels)) >= leastShare*float64(p.W*p.H) {
			found = append(found, r)
		}
	}
	slices.SortFunc(found, func(a, b region) int {
		if a.brightness > b.brightness {
			return -1
		}
		return 1
	})
	for _, r := range found {
		card, ok := cardOf(p, r, label)
		if ok {
			return card, nil
		}
	}
	return bareCard{}, picture.Refuse(stepBack, "no white card with visible edges was found in the picture")
}

// judgeTouched tells of a thing that touches the card and is as bright, so that the card's
// outline may hold it and table beside it; beside a refusal, or as a note.
func (r *Reading) judgeTouched(card bareCard, refusal *picture.Refusal) *picture.Refusal {
	const says, gap = "something as bright as the card lies against its edge", "leave dark table all round the card"
	switch {
	case !card.touched || card.cut:
		return refusal
	case refusal != nil:
		return picture.Refuse(gap, says+", and %s", refusal.What)
	}
	r.note(says+", so that its outline may be wrong: look at the overlay, or %s", gap)
	return nil
}

// region is a set of connected pixels, by index.
type region struct {
	id         int32
	pixels     []int32
	brightness float64
}

// evenRegions grows regions in which each pixel is linked to a neighbour of
// nearly the same light. A card under a lamp changes slowly and is one region,
// however uneven the light; its edge and the edges of drops are steps. From a pixel on a
// large step no region grows on: along an edge that is nearly a row of pixels the light
// goes over from card to table in small steps, and only the neighbours across tell of it.
func evenRegions(p *picture.Picture) ([]region, []int32) {
	logs := make([]float64, p.W*p.H)
	for i := range logs {
		logs[i] = math.Log(p.Luminance(i) + 1e-4)
	}
	const edge = 2.5 // steps: more than the soft edge of a shadow
	step := evenStep(p, logs)
	label := make([]int32, p.W*p.H)
	var regions []region
	var stack []int32
	order := make([]int32, 0, len(label)) // the pixels, region by region
	for seed := range label {
		if label[seed] != 0 {
			continue
		}
		r := region{id: int32(len(regions) + 1)}
		label[seed] = r.id
		stack = append(stack[:0], int32(seed))
		first := len(order)
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			order = append(order, i)
			r.brightness += p.Luminance(int(i))
			around := neighbours(int(i), p.W, p.H)
			if slices.ContainsFunc(around[:], func(j int) bool { return j >= 0 && math.Abs(logs[i]-logs[j]) >= edge*step }) {
				continue
			}
			for _, j := range around {
				if j >= 0 && label[j] == 0 && math.Abs(logs[i]-logs[j]) < step {
					label[j] = r.id
					stack = append(stack, int32(j))
				}
			}
		}
		r.pixels = order[first:len(order):len(order)]
		r.brightness /= float64(len(r.pixels))
		regions = append(regions, r)
	}
	return regions, label
}

// evenStep is the largest change of log light between neighbours that still
// counts as even: 4 %, or six times what is usual in the brightest fifth of the
// picture when noise is worse than that. A card that fills a quarter of the frame fills
// that fifth. Noise changes light sideways and downwards alike; the grain of a table or
// the weave of a cloth runs one way, so that the less of the two counts.
func evenStep(p *picture.Picture, logs []float64) float64 {
	const every = 7 // pixels; enough for a median
	const brightest = 0.8
	var some, sideways, downwards []float64
	for i := 0; i < len(logs); i += every {
		some = append(some, logs[i])
	}
	bright := rank.Quantile(some, brightest)
	for i := p.W; i < len(logs); i += every {
		if i%p.W != 0 && logs[i] >= bright {
			sideways = append(sideways, math.Abs(logs[i]-logs[i-1]))
			downwards = append(downwards, math.Abs(logs[i]-logs[i-p.W]))
		}
	}
	const least, usual = 0.04, 6.0
	if len(sideways) == 0 {
		return least
	}
	return max(least, usual*min(rank.Median(sideways), rank.Median(downwards)))
}

// neighbours returns the four neighbours of a pixel, -1 beyond the edge.
func neighbours(i, w, h int) [4]int {
	n := [4]int{-1, -1, -1, -1}
	y := int(int32(i) / int32(w))
	x := i - y*w
	if x > 0 {
		n[0] = i - 1
	}
	if x < w-1 {
		n[1] = i + 1
	}
	if y > 0 {
		n[2] = i - w
	}
	if y < h-1 {
		n[3] = i + w
	}
	return n
}

// cardOf fits the outline to a region and judges whether it is a card.
func cardOf(p *picture.Picture, r region, label []int32) (bareCard, bool) {
	var outline []plane.Point
	touching := [4]bool{}
	for _, i := range r.pixels {
		x, y := int(i)%p.W, int(i)/p.W
		for side, at := range [4]bool{x == 0, x == p.W-1, y == 0, y == p.H-1} {
			touching[side] = touching[side] || at
		}
		for _, j := range neighbours(int(i), p.W, p.H) {
			if j < 0 || label[j] != r.id {
				outline = append(outline, plane.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5})
				break
			}
		}
	}
	hull := plane.ConvexHull(outline)
	if len(hull) < 4 || touching == [4]bool{true, true, true, true} {
		return bareCard{}, false
	}
	corners := plane.LargestQuad(hull).FromTopLeft()
	const leastFill, leastEven = 0.88, 0.4
	hullArea := math.Abs(plane.PolygonArea(hull))
	if corners.Area() < leastFill*hullArea || float64(len(r.pixels)) < leastEven*hullArea {
		return bareCard{}, false
	}
	corners, edges, touched := sharpened(p, corners)
	if edges < 2 {
		return bareCard{}, false
	}
	card := bareCard{corners: corners, even: make([]bool, p.W*p.H), touched: touched}
	for _, t := range touching {
		card.cut = card.cut || t
	}
	for _, i := range r.pixels {
		card.even[i] = true
	}
	return card, true
}

// sharpened moves each side of the outline to where the light passes half way
// from card to table, to a fraction of a pixel, and counts the sides where
// there is such an edge. Where one has it over a part alone, something touches the card.
func sharpened(p *picture.Picture, q plane.Quad) (moved plane.Quad, edges int, touched bool) {
	const wholeEdge = 0.7 // of a side; corners take an eighth of it
	var sides [4]plane.Line
	for s := range sides {
		a, b := q[s], q[(s+1)%4]
		sides[s] = plane.Line{At: a, Dir: b.Minus(a).Times(1 / b.Minus(a).Length())}
		crossings := edgeCrossings(p, a, b)
		touched = touched || float64(len(crossings)) < wholeEdge*b.Minus(a).Length()
		if len(crossings) < 8 || float64(len(crossings)) < 0.3*b.Minus(a).Length() {
			continue
		}
		edges++
		fit := plane.FitLine(crossings)
		for range 3 {
			crossings = slices.DeleteFunc(crossings, func(c plane.Point) bool { return fit.Distance(c) > 1 })
			if len(crossings) < 8 {
				break
			}
			fit = plane.FitLine(crossings)
		}
		sides[s] = fit
	}
	moved = q
	for i := range q {
		const farthestMove = 8 // coarse pixels
		corner, ok := sides[(i+3)%4].Meet(sides[i])
		if ok && corner.Minus(q[i]).Length() < farthestMove {
			moved[i] = corner
		}
	}
	return moved, edges, touched
}

// edgeCrossings searches across the side from a to b for the half-way point
// between table and card. The card lies on the right of a-b as seen on the
// screen (clockwise order).
func edgeCrossings(p *picture.Picture, a, b plane.Point) []plane.Point {
	along := b.Minus(a)
	inward := plane.Point{X: -along.Y, Y: along.X}.Times(1 / along.Length())
	const reach, leastContrast = 4.0, 1.15
	var crossings []plane.Point
	steps := int(along.Length())
	for s := range steps {
		t := float64(s) / float64(steps)
		if t < 0.06 || t > 0.94 {
			continue
		}
		at := plane.Between(a, b, t)
		outside, inside := lightAt(p, at.Plus(inward.Times(-reach))), lightAt(p, at.Plus(inward.Times(reach)))
		if inside < leastContrast*outside {
			continue
		}
		half := (outside + inside) / 2
		before := outside
		for d := -reach + 0.5; d <= reach; d += 0.5 {
			after := lightAt(p, at.Plus(inward.Times(d)))
			if before < half && after >= half {
				d -= 0.5 * (after - half) / (after - before)
				crossings = append(crossings, at.Plus(inward.Times(d)))
				break
			}
			before = after
		}
	}
	return crossings
}
