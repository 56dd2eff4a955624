package photo

import (
	"math"
	"slices"
)

// findSide is the longer side, in pixels, of the picture the card is found in.
const findSide = 256

// bareCard is the card as found: its corners in the coarse picture and the
// pixels there that grew together as one even, bright region.
type bareCard struct {
	corners quad
	even    []bool
	// bare says where card can be bare at all; nil for anywhere.
	bare []bool
	// cut says that the card runs out of the frame.
	cut bool
}

const stepBack = "place the white card on a darker table and photograph it from straight above with all four edges in the picture"

// findCard looks for the brightest even region that fills a four-sided outline
// and is brighter than what lies around it.
func findCard(p *picture) (bareCard, *Refusal) {
	regions, label := evenRegions(p)
	const leastShare = 0.08 // of the frame; drops and shadows take their part of a card that fills 25 %
	var found []region
	for _, r := range regions {
		if float64(len(r.pixels)) >= leastShare*float64(p.w*p.h) {
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
	return bareCard{}, refuse(stepBack, "no white card with visible edges was found in the picture")
}

// region is a set of connected pixels, by index.
type region struct {
	id         int32
	pixels     []int32
	brightness float64
}

// evenRegions grows regions in which each pixel is linked to a neighbour of
// nearly the same light. A card under a lamp changes slowly and is one region,
// however uneven the light; its edge and the edges of drops are steps.
func evenRegions(p *picture) ([]region, []int32) {
	logs := make([]float64, p.w*p.h)
	for i := range logs {
		logs[i] = math.Log(p.luminance(i) + 1e-4)
	}
	step := evenStep(p, logs)
	label := make([]int32, p.w*p.h)
	var regions []region
	var stack []int32
	for seed := range label {
		if label[seed] != 0 {
			continue
		}
		r := region{id: int32(len(regions) + 1)}
		label[seed] = r.id
		stack = append(stack[:0], int32(seed))
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			r.pixels = append(r.pixels, i)
			r.brightness += p.luminance(int(i))
			for _, j := range neighbours(int(i), p.w, p.h) {
				if j >= 0 && label[j] == 0 && math.Abs(logs[i]-logs[j]) < step {
					label[j] = r.id
					stack = append(stack, int32(j))
				}
			}
		}
		r.brightness /= float64(len(r.pixels))
		regions = append(regions, r)
	}
	return regions, label
}

// evenStep is the largest change of log light between neighbours that still
// counts as even: 4 %, or six times what is usual in the brighter half of the
// picture when noise is worse than that.
func evenStep(p *picture, logs []float64) float64 {
	const every = 7 // pixels; enough for a median
	var some, changes []float64
	for i := 0; i < len(logs); i += every {
		some = append(some, logs[i])
	}
	middle := median(some)
	for i := every; i < len(logs); i += every {
		if i%p.w != 0 && logs[i] >= middle {
			changes = append(changes, math.Abs(logs[i]-logs[i-1]))
		}
	}
	if len(changes) == 0 {
		return 0.04
	}
	return max(0.04, 6*median(changes))
}

// neighbours returns the four neighbours of a pixel, -1 beyond the edge.
func neighbours(i, w, h int) [4]int {
	n := [4]int{-1, -1, -1, -1}
	x, y := i%w, i/w
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
func cardOf(p *picture, r region, label []int32) (bareCard, bool) {
	var outline []point
	touching := [4]bool{}
	for _, i := range r.pixels {
		x, y := int(i)%p.w, int(i)/p.w
		for side, at := range [4]bool{x == 0, x == p.w-1, y == 0, y == p.h-1} {
			touching[side] = touching[side] || at
		}
		for _, j := range neighbours(int(i), p.w, p.h) {
			if j < 0 || label[j] != r.id {
				outline = append(outline, point{float64(x) + 0.5, float64(y) + 0.5})
				break
			}
		}
	}
	hull := convexHull(outline)
	if len(hull) < 4 || touching == [4]bool{true, true, true, true} {
		return bareCard{}, false
	}
	corners := largestQuad(hull).fromTopLeft()
	const leastFill, leastEven = 0.88, 0.4
	hullArea := math.Abs(polygonArea(hull))
	if corners.area() < leastFill*hullArea || float64(len(r.pixels)) < leastEven*hullArea {
		return bareCard{}, false
	}
	corners, edges := sharpened(p, corners)
	if edges < 2 {
		return bareCard{}, false
	}
	card := bareCard{corners: corners, even: make([]bool, p.w*p.h)}
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
// there is such an edge.
func sharpened(p *picture, q quad) (quad, int) {
	var sides [4]line
	edges := 0
	for s := range sides {
		a, b := q[s], q[(s+1)%4]
		sides[s] = line{a, b.minus(a).times(1 / b.minus(a).length())}
		crossings := edgeCrossings(p, a, b)
		if len(crossings) < 8 || float64(len(crossings)) < 0.3*b.minus(a).length() {
			continue
		}
		edges++
		fit := fitLine(crossings)
		for range 3 {
			crossings = slices.DeleteFunc(crossings, func(c point) bool { return fit.distance(c) > 1 })
			if len(crossings) < 8 {
				break
			}
			fit = fitLine(crossings)
		}
		sides[s] = fit
	}
	moved := q
	for i := range q {
		const farthestMove = 8 // coarse pixels
		corner, ok := sides[(i+3)%4].meet(sides[i])
		if ok && corner.minus(q[i]).length() < farthestMove {
			moved[i] = corner
		}
	}
	return moved, edges
}

// edgeCrossings searches across the side from a to b for the half-way point
// between table and card. The card lies on the right of a-b as seen on the
// screen (clockwise order).
func edgeCrossings(p *picture, a, b point) []point {
	along := b.minus(a)
	inward := point{-along.y, along.x}.times(1 / along.length())
	const reach, leastContrast = 4.0, 1.15
	var crossings []point
	steps := int(along.length())
	for s := range steps {
		t := float64(s) / float64(steps)
		if t < 0.06 || t > 0.94 {
			continue
		}
		at := between(a, b, t)
		outside, inside := p.lightAt(at.plus(inward.times(-reach))), p.lightAt(at.plus(inward.times(reach)))
		if inside < leastContrast*outside {
			continue
		}
		half := (outside + inside) / 2
		before := outside
		for d := -reach + 0.5; d <= reach; d += 0.5 {
			after := p.lightAt(at.plus(inward.times(d)))
			if before < half && after >= half {
				d -= 0.5 * (after - half) / (after - before)
				crossings = append(crossings, at.plus(inward.times(d)))
				break
			}
			before = after
		}
	}
	return crossings
}

// lightAt is the luminance between pixel centres, bilinear; beyond the edge of
// the picture that of the nearest place within.
func (p *picture) lightAt(at point) float64 {
	x, y := min(max(at.x-0.5, 0), float64(p.w-1)), min(max(at.y-0.5, 0), float64(p.h-1))
	ix, iy := min(int(x), p.w-2), min(int(y), p.h-2)
	fx, fy := x-float64(ix), y-float64(iy)
	i := iy*p.w + ix
	top := p.luminance(i)*(1-fx) + p.luminance(i+1)*fx
	low := p.luminance(i+p.w)*(1-fx) + p.luminance(i+p.w+1)*fx
	return top*(1-fy) + low*fy
}

// median reorders its argument and returns its middle, NaN for none.
func median(values []float64) float64 { return quantile(values, 0.5) }

// quantile reorders its argument too.
func quantile(values []float64, q float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	return ranked(values, int(q*float64(len(values)-1)+0.5))
}

// ranked returns the value that would stand at place k if the values were sorted
// (Hoare 1961, "Algorithm 65: find", Commun. ACM 4(7)).
func ranked(values []float64, k int) float64 {
	const few = 12
	low, high := 0, len(values)-1
	for high-low > few {
		middle := low + (high-low)/2
		pivot := max(min(values[low], values[middle]), min(max(values[low], values[middle]), values[high]))
		i, j := low, high
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for values[j] > pivot {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return values[k]
		}
	}
	slices.Sort(values[low : high+1])
	return values[k]
}
