package photo

import (
	"math"
	"slices"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// blob is a drop as found: the pixels of its outline's inside in the
// flattened window, and the ellipse with the same second moments.
type blob struct {
	pixels []int32
	hull   []plane.Point // convex; the outline itself may have bays
	plane.Ellipse
	// solid is the share of the hull that the outline fills; a drop
	// is convex, two touching ones are not.
	solid float64
	// parted says that it touched another drop.
	parted bool
}

func (b *blob) diameter() float64 { return 2 * math.Sqrt(float64(len(b.pixels))/math.Pi) }

// touches tells drops that touch from those that a shadow joins.
func (b *blob) touches(other *blob) bool {
	const apart = 1.12 // of both radii
	return b.Centre.Minus(other.Centre).Length() < apart*(b.diameter()+other.diameter())/2
}

// leastDiameter is the smallest drop, in pixels of the working picture, whose
// middle can be read apart from its rim.
const leastDiameter = 14

// segmenter finds drops on the flattened card. What has another colour than the card, or
// less light, may be wax or shadow and is where a drop is looked for; a drop is only what
// has an outline as sharp as the picture (outline).
type segmenter struct {
	f *flattened
	t tint
	// rounding are the standard deviations of the two chromaticities that the file's
	// code leaves on white.
	rounding [2]float64
	// redGreen, blueYellow and bright are the standard deviations on bare card,
	// not less than the rounding of the file's code.
	redGreen, blueYellow, bright float64
	perRedGreen, perBlueYellow   float64 // one over the former
	// edgePx is the width of the picture's sharp edges, in pixels of the flattened card.
	edgePx float64
	// longest is the largest ratio of length to width of a drop.
	longest float64
	// usual is the radius of the drops already found, in pixels looked at; 0 for none.
	usual float64
}

// A drop is about round, and two that touch are not yet twice as long. Half of one,
// the other half over the black bar of a card seen from low, is longer; places
// tell what is a drop then.
const longestDrop, longestHalf = 2.5, 5.0

// newSegmenter takes the flattened card, the linear light of its white and the width of
// the picture's edges, 0 where it is not known.
func newSegmenter(f *flattened, white, edgePx float64, k picture.Code) *segmenter {
	s := &segmenter{f: f, longest: longestDrop, edgePx: edgePx}
	s.rounding[0], s.rounding[1] = k.TintErrors(white)
	return s
}

// lookAt takes the tints of every pace-th pixel.
func (s *segmenter) lookAt(pace int) {
	s.t = s.f.tints(pace)
	const floor = 0.003
	s.redGreen = max(floor, s.rounding[0], s.spread(s.t.redGreen))
	s.blueYellow = max(floor, s.rounding[1], s.spread(s.t.blueYellow))
	s.bright = max(floor, s.spread(s.t.bright))
	s.perRedGreen, s.perBlueYellow = 1/s.redGreen, 1/s.blueYellow
}

// spread is the robust standard deviation over the card, drops and all.
func (s *segmenter) spread(plane []float32) float64 {
	every := 47
	if s.t.w%every == 0 { // a few columns would stand for all
		every++
	}
	values := make([]float64, 0, 1+len(plane)/every)
	for i := 0; i < len(plane); i += every {
		if s.t.inside[i] {
			values = append(values, float64(plane[i]))
		}
	}
	centre := rank.Median(values)
	for i, v := range values {
		values[i] = math.Abs(v - centre)
	}
	return rank.Sigma(values)
}

// A pixel may belong to a drop when its chromaticity is this many standard
// deviations from the card's, or it is darker than most shadows. Pale wax is looked for
// again at the lower bound, among pixels that are also darker than the card and away from
// drops already found.
const (
	strongChroma = 5.5
	paleChroma   = 2.5
	darkest      = 0.72 // of the card's brightness
)

// blobs returns the drops in no particular order. Splashes are the spots too
// small beside the others to be drops. Every second pixel tells the outlines of large
// drops as well as all of them; where one is small, or fewer are found than are wanted (0
// for any number), all are looked at.
func (s *segmenter) blobs(wanted int) (drops, splashes []blob) {
	const large = 4 * leastDiameter
	drops, splashes = s.blobsAt(2)
	small := func(b blob) bool {
		long, _ := b.Axes() // of one that is cut off by the bar, the whole width
		return long < large
	}
	if len(drops) < max(wanted, 1) || slices.ContainsFunc(drops, small) {
		return s.blobsAt(1)
	}
	return drops, splashes
}

// blobsAt are the blobs by every pace-th pixel.
func (s *segmenter) blobsAt(pace int) (drops, splashes []blob) {
	s.lookAt(pace)
	s.usual = 0
	taken := make([]bool, len(s.t.bright))
	drops, splashes = splitSplashes(s.grow(taken, s.fewest(), func(i int) bool {
		return s.t.bright[i] < darkest || s.coloured(i, strongChroma)
	}))
	const leastShare = 0.4
	least := s.fewest()
	if len(drops) > 0 { // pale wax is a drop like the others, and no fringe
		least = max(least, int(leastShare*float64(len(drops[0].pixels))/float64(pace*pace)))
		s.usual = drops[len(drops)/2].diameter() / 2 / float64(pace)
	}
	shade := float32(1 - max(0.02, 4*s.bright))
	return append(drops, s.grow(taken, least, func(i int) bool {
		return s.t.bright[i] < shade && s.coloured(i, paleChroma)
	})...), splashes
}

// grow makes blobs of the connected pixels that may be wax, the largest first, and
// marks what they cover. What is left of a seed, or of a shadow that joined several
// drops, is looked at again if it is large.
func (s *segmenter) grow(taken []bool, least int, mayBeWax func(i int) bool) (found []blob) {
	mask := make([]bool, len(taken))
	for i, in := range s.t.inside {
		mask[i] = in && !taken[i] && mayBeWax(i)
	}
	seeds := connected(mask, s.t.w, s.t.h, least, len(mask))
	slices.SortStableFunc(seeds, func(a, b []int32) int { return len(b) - len(a) })
	for n := 0; n < len(seeds); n++ {
		seed := seeds[n]
		split := parts(seed, s.t.w)
		got, first := 0, len(found)
		for _, part := range split {
			part = slices.DeleteFunc(slices.Clone(part), func(i int32) bool { return taken[i] })
			if len(part) < least {
				continue
			}
			b, ok := s.outline(part)
			if !ok {
				continue
			}
			fresh := s.take(&b, taken)
			if fresh < len(b.pixels)/(2*s.t.pace*s.t.pace) {
				continue // it was found before
			}
			got += fresh
			for k := first; k < len(found); k++ {
				if found[k].touches(&b) {
					found[k].parted, b.parted = true, true
				}
			}
			found = append(found, b)
			s.usual = found[len(found)/2].diameter() / 2 / float64(s.t.pace)
		}
		if got > 0 {
			seeds = append(seeds, s.left(seed, taken, max(least, got*2/5))...)
		}
	}
	return found
}

// fewest is how many of the pixels looked at are less than the smallest drop has.
func (s *segmenter) fewest() int { return leastDiameter * leastDiameter / 4 / (s.t.pace * s.t.pace) }

// left returns the connected parts of a seed that are not taken, of that many pixels at
// least.
func (s *segmenter) left(seed []int32, taken []bool, least int) [][]int32 {
	if len(seed) < least {
		return nil
	}
	mask := make([]bool, len(taken))
	for _, i := range seed {
		mask[i] = !taken[i]
	}
	return connected(mask, s.t.w, s.t.h, least, len(mask))
}

// take marks what a blob covers, with its fringe, and counts what was not taken before.
func (s *segmenter) take(b *blob, taken []bool) (n int) {
	const fringe = 1.1
	grown := make([]plane.Point, len(b.hull))
	for k, p := range b.hull {
		grown[k] = b.Centre.Plus(p.Minus(b.Centre).Times(fringe)).Times(1 / float64(s.t.pace))
	}
	plane.EachRow(grown, s.t.w, s.t.h, func(y, from, to int) {
		for x := from; x < to; x++ {
			if i := y*s.t.w + x; !taken[i] {
				taken[i] = true
				n++
			}
		}
	})
	return n
}

// splitSplashes parts off what is small beside the drop of typical size.
func splitSplashes(found []blob) (drops, splashes []blob) {
	slices.SortFunc(found, func(a, b blob) int { return len(a.pixels) - len(b.pixels) })
	total, half, typical := 0, 0, 0
	for _, b := range found {
		total += len(b.pixels)
	}
	for _, b := range found { // the drop at which half of all the wax is passed
		if half < total {
			half += 2 * len(b.pixels)
			typical = len(b.pixels)
		}
	}
	const smallest = 0.15
	for _, b := range found {
		if float64(len(b.pixels)) < smallest*float64(typical) {
			splashes = append(splashes, b)
		} else {
			drops = append(drops, b)
		}
	}
	return drops, splashes
}

// coloured reports whether a pixel's chromaticity lies more than so many
// standard deviations from the card's.
func (s *segmenter) coloured(i int, deviations float64) bool {
	u, v := float64(s.t.redGreen[i])*s.perRedGreen, float64(s.t.blueYellow[i])*s.perBlueYellow
	return u*u+v*v > deviations*deviations
}
