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
	hull   []plane.Point
	plane.Ellipse
	// solid is the share of the hull that the drop's own pixels fill; a drop
	// is convex, two touching ones are not.
	solid float64
	// soft says that the edge is as soft as a shadow's.
	soft bool
	// parted says that it touched another drop.
	parted bool
}

func (b *blob) diameter() float64 { return 2 * math.Sqrt(float64(len(b.pixels))/math.Pi) }

// leastDiameter is the smallest drop, in pixels of the working picture, whose
// middle can be read apart from its rim.
const leastDiameter = 14

// segmenter finds drops on the flattened card.
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
	// edge is the share of wax seen, against card, at a coloured drop's outline.
	edge float64
	// longest is the largest ratio of length to width of a drop, and of a pale one.
	longest, longestPale float64
}

// A drop is about round, and two that touch are not yet twice as long. Half of one,
// the other half over the black bar of a card seen from low, is longer; places
// tell what is a drop then.
const (
	longestDrop, longestPale = 2.5, 1.5
	longestHalf              = 5.0
)

// The share of wax at the outline: half way at the upright rim of a set drop; less at
// the rim of a liquid one, which thins out.
const (
	edgeSet    = 0.45
	edgeLiquid = 0.3
)

// newSegmenter takes the flattened card and the linear light of its white.
func newSegmenter(f *flattened, white float64, k picture.Code, liquid bool) *segmenter {
	s := &segmenter{f: f, edge: edgeSet, longest: longestDrop, longestPale: longestPale}
	if liquid {
		s.edge = edgeLiquid
	}
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
// deviations from the card's. Pale wax is looked for again at the lower bound,
// among pixels that are also darker than the card and away from drops already
// found, so that neither rounding nor a shadow alone is enough.
const (
	strongChroma = 5.5
	paleChroma   = 2.5
	// No soft shadow leaves less than this share of the card's brightness.
	darkest = 0.72
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
	taken := make([]bool, len(s.t.bright))
	found := s.grow(s.strong(taken), taken)
	drops, splashes = splitSplashes(found)
	shade := float32(1 - max(0.02, 4*s.bright))
	pale := s.grow(s.pale(shade, taken), taken)
	const leastSolid, leastShare = 0.85, 0.4
	least := 0.0
	if len(drops) > 0 {
		least = leastShare * float64(len(drops[0].pixels)) // the smallest of the others
	}
	for _, b := range pale {
		long, short := b.Axes()
		if b.solid > leastSolid && long < s.longestPale*short && float64(len(b.pixels)) > least {
			drops = append(drops, b)
		}
	}
	if pace > 1 {
		for _, found := range [2][]blob{drops, splashes} {
			for k := range found {
				s.fill(&found[k])
			}
		}
	}
	return drops, splashes
}

// fill gives a blob all the pixels of the flattened card that lie in its outline, in
// place of those looked at. The hull of every second pixel reaches a quarter of a pixel
// farther out than that of all (the median of 290 rendered drops).
func (s *segmenter) fill(b *blob) {
	const farther = 0.24
	pace := float64(s.t.pace)
	middle := plane.Point{X: (pace - 1) / 2, Y: (pace - 1) / 2} // of the pixels that one stands for
	centre := b.Centre.Times(pace).Minus(middle)
	for k, p := range b.hull {
		out := p.Times(pace).Minus(middle).Minus(centre)
		b.hull[k] = centre.Plus(out.Times(1 - farther/out.Length()))
	}
	b.pixels = pixelsIn(b.hull, window{0, 0, s.f.w, s.f.h}, s.f.w)
	b.Ellipse = plane.MomentsOfPixels(b.pixels, s.f.w)
}

// pixelsIn lists the pixels, of a picture so wide, of the part of a window within an
// outline that is given from the window's corner.
func pixelsIn(outline []plane.Point, box window, wide int) []int32 {
	pixels := make([]int32, 0, int(math.Abs(plane.PolygonArea(outline)))+box.h)
	plane.EachRow(outline, box.w, box.h, func(y, from, to int) {
		for x := from; x < to; x++ {
			pixels = append(pixels, int32((box.y+y)*wide+box.x+x))
		}
	})
	return pixels
}

// strong masks what is strongly coloured, or too dark for a shadow.
func (s *segmenter) strong(taken []bool) []bool {
	mask := make([]bool, len(taken))
	for i, in := range s.t.inside {
		mask[i] = in && !taken[i] && (s.t.bright[i] < darkest || s.coloured(i, strongChroma))
	}
	return mask
}

// pale masks what has a tint and is darker than the card.
func (s *segmenter) pale(shade float32, taken []bool) []bool {
	mask := make([]bool, len(taken))
	for i, in := range s.t.inside {
		mask[i] = in && s.t.bright[i] < shade && !taken[i] && s.coloured(i, paleChroma)
	}
	return mask
}

// grow makes blobs of the connected pixels of a mask, the largest first, and
// marks what they cover. Fringes of a blob already made are passed over, unless they
// are so large that the deep shadow of a thick piece has joined it to another.
func (s *segmenter) grow(mask, taken []bool) []blob {
	seeds := connected(mask, s.t.w, s.t.h, s.fewest(), len(mask))
	slices.SortStableFunc(seeds, func(a, b []int32) int { return len(b) - len(a) })
	apart := len(seeds) // the seeds behind these are what is left of others
	var found []blob
	for n := 0; n < len(seeds); n++ {
		seed := seeds[n]
		if n < apart && s.beside(seed, taken) {
			continue
		}
		split := parts(seed, s.t.w)
		for k, part := range split {
			b, ok := s.outline(part, without(taken, split, k))
			if !ok || b.soft {
				continue
			}
			b.parted = len(split) > 1
			for _, i := range b.pixels {
				taken[i] = true
			}
			found = append(found, b)
			if len(split) == 1 {
				seeds = append(seeds, s.left(seed, taken, len(b.pixels))...)
			}
		}
	}
	return found
}

// fewest is how many of the pixels looked at are less than the smallest drop has.
func (s *segmenter) fewest() int { return leastDiameter * leastDiameter / 4 / (s.t.pace * s.t.pace) }

// left returns the parts of a seed that are not taken and nearly as large as the blob
// that was made of it.
func (s *segmenter) left(seed []int32, taken []bool, size int) [][]int32 {
	const least = 0.4
	if float64(len(seed)) < (1+least)*float64(size) {
		return nil
	}
	mask := make([]bool, len(taken))
	for _, i := range seed {
		mask[i] = !taken[i]
	}
	return connected(mask, s.t.w, s.t.h, max(s.fewest(), int(math.Ceil(least*float64(size)))), len(mask))
}

// without returns what is taken for one of the parts of a seed: the others are.
func without(taken []bool, split [][]int32, k int) []bool {
	if len(split) == 1 {
		return taken
	}
	taken = slices.Clone(taken)
	for other, part := range split {
		if other != k {
			for _, i := range part {
				taken[i] = true
			}
		}
	}
	return taken
}

// beside reports whether a seed lies on or hard by a blob already made.
func (s *segmenter) beside(seed []int32, taken []bool) bool {
	reach := 4 / s.t.pace
	x0, y0, x1, y1 := extentOf(seed, s.t.w)
	box := s.widened(window{x0, y0, x1 - x0 + 1, y1 - y0 + 1}, reach)
	near := false
	for y := box.y; y < box.y+box.h && !near; y++ {
		near = slices.Contains(taken[y*s.t.w+box.x:][:box.w], true)
	}
	if !near {
		return false
	}
	for _, i := range seed {
		x, y := int(i)%s.t.w, int(i)/s.t.w
		for _, d := range [5][2]int{{0, 0}, {-reach, 0}, {reach, 0}, {0, -reach}, {0, reach}} {
			if x, y := x+d[0], y+d[1]; x >= 0 && y >= 0 && x < s.t.w && y < s.t.h && taken[y*s.t.w+x] {
				return true
			}
		}
	}
	return false
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

// outline grows the seed to the drop's own edge: to where its pixels have gone
// a good part of the way from card to the drop's middle, along the direction in
// which this drop differs from the card.
func (s *segmenter) outline(seed []int32, taken []bool) (blob, bool) {
	core := s.momentsOf(seed)
	depth := s.depthOf(core, seed)
	box := s.window(seed)
	own := s.deeper(depth, box, taken)
	if touches(own, box) { // the seed was only a part of it
		box = s.widened(box, max(box.w, box.h))
		own = s.deeper(depth, box, taken)
	}
	if len(own) < s.fewest() {
		return blob{}, false
	}
	b := s.blobOf(own, box)
	const leastSolid = 0.6
	long, short := b.Axes()
	if b.solid < leastSolid || long > s.longest*short {
		return blob{}, false
	}
	b.soft = s.softEdge(&b, depth)
	return b, true
}

// deeper returns the largest connected set in the window that is past the
// depth's edge, as indices into the window.
func (s *segmenter) deeper(d depth, box window, taken []bool) []int32 {
	mask := make([]bool, box.w*box.h)
	for y := range box.h {
		row, first := mask[y*box.w:(y+1)*box.w], (box.y+y)*s.t.w+box.x
		inside, taken := s.t.inside[first:][:len(row)], taken[first:][:len(row)]
		for x := range row {
			row[x] = inside[x] && !taken[x] && d.of(s, first+x) > d.edge
		}
	}
	var own []int32
	for _, part := range connected(mask, box.w, box.h, 1, len(mask)) {
		if len(part) > len(own) {
			own = part
		}
	}
	return own
}

func touches(own []int32, box window) bool {
	if len(own) == 0 {
		return false
	}
	x0, y0, x1, y1 := extentOf(own, box.w)
	return x0 == 0 || y0 == 0 || x1 == box.w-1 || y1 == box.h-1
}

// depth measures how much of a drop's difference from the card a pixel has.
type depth struct {
	redGreen, blueYellow, bright float64 // weights; Σ weight · tint is 1 in the middle
	edge                         float64 // the depth taken as the outline
}

func (d depth) of(s *segmenter, i int) float64 {
	return d.redGreen*float64(s.t.redGreen[i]) + d.blueYellow*float64(s.t.blueYellow[i]) +
		d.bright*(1-float64(s.t.bright[i]))
}

// depthOf chooses the direction: the chromaticity where the middle of the drop
// has enough of it, which leaves every shadow out; the brightness for a grey or
// black drop, with the outline half way down, or deeper where half way is no
// deeper than a shadow.
func (s *segmenter) depthOf(core plane.Ellipse, seed []int32) depth {
	const plenty = 2000 // pixels, for medians
	every := 1 + len(seed)/plenty
	n := 1 + len(seed)/every
	values := make([]float64, 3*n)
	rg, by, dark := values[:0:n], values[n:n:2*n], values[2*n:2*n]
	within := core.RadiusSquared()
	gather := func(radius float64) {
		for k := 0; k < len(seed); k += every {
			if i := seed[k]; within(s.centreOf(i)) < radius*radius {
				rg = append(rg, float64(s.t.redGreen[i]))
				by = append(by, float64(s.t.blueYellow[i]))
				dark = append(dark, 1-float64(s.t.bright[i]))
			}
		}
	}
	gather(0.6)
	if len(rg) == 0 { // a ring or crescent: its own pixels must do
		gather(math.Inf(1))
	}
	u, v, d := rank.Median(rg), rank.Median(by), rank.Median(dark)
	const (
		enough, leastChroma = paleChroma, 0.05
		deep                = 0.85 // from here on dark wax's chromaticity is uncertain
		shadow              = 0.42 // how much light a shadow beside a drop may take
	)
	byBrightness := depth{bright: 1 / max(d, 1e-3), edge: max(0.5, min(0.8, shadow/max(d, 1e-3)))}
	if d > deep {
		return byBrightness
	}
	if size := math.Hypot(u, v); size > leastChroma || math.Hypot(u/s.redGreen, v/s.blueYellow) > enough {
		// Where a share m of what is seen is wax and the rest card, the
		// chromaticity has gone m (1-d) / (1-m d) of its way, since the card
		// is so much brighter.
		edge := s.edge * (1 - d) / (1 - s.edge*d)
		edge = max(edge, min(0.5, 3*max(s.redGreen, s.blueYellow)/size))
		return depth{redGreen: u / (size * size), blueYellow: v / (size * size), edge: edge}
	}
	return byBrightness
}

// softEdge tells a shadow: across its outline the light changes slowly. The
// depth is compared a little inside and outside the outline; a drop passes most
// of its depth there.
func (s *segmenter) softEdge(b *blob, d depth) bool {
	if d.bright == 0 {
		return false // its colour tells it from a shadow
	}
	var inner, outer []float64
	const step, samples = 0.06, 48 // of the diameter, along the outline
	across, perimeter := step*b.diameter(), 0.0
	for i, p := range b.hull {
		perimeter += b.hull[(i+1)%len(b.hull)].Minus(p).Length()
	}
	for i, p := range b.hull {
		along := b.hull[(i+1)%len(b.hull)].Minus(p)
		n := int(math.Ceil(samples * along.Length() / perimeter))
		out := plane.Point{X: along.Y, Y: -along.X}.Times(across / max(along.Length(), 1e-9))
		for k := range n {
			at := p.Plus(along.Times((float64(k) + 0.5) / float64(n)))
			s.collect(&inner, d, at.Minus(out))
			s.collect(&outer, d, at.Plus(out))
		}
	}
	return len(outer) == 0 || rank.Median(inner)-rank.Median(outer) < 0.5
}

// collect appends the depth at a place on the card.
func (s *segmenter) collect(to *[]float64, d depth, p plane.Point) {
	x, y := int(p.X), int(p.Y)
	if x >= 0 && y >= 0 && x < s.t.w && y < s.t.h && s.t.inside[y*s.t.w+x] {
		*to = append(*to, d.of(s, y*s.t.w+x))
	}
}

// window is a part of the flattened picture.
type window struct{ x, y, w, h int }

func (s *segmenter) window(pixels []int32) window {
	x0, y0, x1, y1 := extentOf(pixels, s.t.w)
	return s.widened(window{x0, y0, x1 - x0 + 1, y1 - y0 + 1}, 2+max(x1-x0, y1-y0)/5)
}

func (s *segmenter) widened(w window, margin int) window {
	x0, y0 := max(0, w.x-margin), max(0, w.y-margin)
	x1, y1 := min(s.t.w, w.x+w.w+margin), min(s.t.h, w.y+w.h+margin)
	return window{x0, y0, x1 - x0, y1 - y0}
}

// blobOf makes the drop from its pixels in a window: highlights inside it are
// holes or bays, and its convex hull closes them.
func (s *segmenter) blobOf(own []int32, box window) blob {
	mask := make([]bool, box.w*box.h)
	for _, i := range own {
		mask[i] = true
	}
	filled := len(own)
	for _, r := range holes(mask, box.w, box.h) {
		filled += int(r.to - r.from)
	}
	hull := plane.ConvexHull(outermost(mask, box))
	b := blob{pixels: pixelsIn(hull, box, s.t.w)}
	for _, p := range hull {
		b.hull = append(b.hull, p.Plus(plane.Point{X: float64(box.x), Y: float64(box.y)}))
	}
	b.solid = float64(filled) / float64(max(1, len(b.pixels)))
	b.Ellipse = s.momentsOf(b.pixels)
	return b
}

// outermost are the corners of the pixels of a mask that lie farthest left and right
// on the lines between two rows.
func outermost(mask []bool, box window) []plane.Point {
	corners := make([]plane.Point, 0, 2*(box.h+1))
	lastFrom, lastTo := box.w, 0 // of the row above, which may be empty
	for y := range box.h + 1 {
		from, to := box.w, 0
		if y < box.h {
			row := mask[y*box.w : (y+1)*box.w]
			if first := slices.Index(row, true); first >= 0 {
				from, to = first, lastIndex(row, true)+1
			}
		}
		if left, right := min(from, lastFrom), max(to, lastTo); left < right {
			corners = append(corners, plane.Point{X: float64(left), Y: float64(y)}, plane.Point{X: float64(right), Y: float64(y)})
		}
		lastFrom, lastTo = from, to
	}
	return corners
}

func (s *segmenter) centreOf(i int32) plane.Point { return centreAt(i, s.t.w) }

func (s *segmenter) momentsOf(pixels []int32) plane.Ellipse {
	return plane.MomentsOfPixels(pixels, s.t.w)
}
