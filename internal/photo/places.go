package photo

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"setshade/internal/card"
	"setshade/internal/english"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// filled returns the numbers of the places that hold a drop by the plan, in
// order; nil for whichever do. They are those that the plan names. Else rows of drops
// go to the rows of places, each from its first place on, if they fit; else drops fill
// the places from 1 on.
func (want Expect) filled(g card.Geometry) ([]int, *picture.Refusal) {
	n := want.drops()
	if n > len(g.Drops) {
		return nil, picture.Refuse("use a second card", "the plan has %d drops, the printed card %d places", n, len(g.Drops))
	}
	if len(want.Places) > 0 {
		return want.Places, want.checkNamed(g)
	}
	fits := len(want.Rows) > 1 && len(want.Rows) <= card.Rows
	for _, row := range want.Rows {
		fits = fits && row <= card.Columns
	}
	var numbers []int
	if !fits {
		if slices.Contains(want.Rows, 0) {
			return nil, picture.Refuse("write for each row of places how many drops it holds from its first place on, or number the drops as their places are",
				"rows of %s do not fit the printed card, which has %d rows of %d places", counted(want.Rows), card.Rows, card.Columns)
		}
		for i := range n {
			numbers = append(numbers, g.Drops[i].Number)
		}
		return numbers, nil
	}
	for y, row := range want.Rows {
		for x := range row {
			numbers = append(numbers, g.Drops[y*card.Columns+x].Number)
		}
	}
	return numbers, nil
}

// checkNamed refuses places that the card does not have, or that lie in other rows than
// the plan says.
func (want Expect) checkNamed(g card.Geometry) *picture.Refusal {
	if last := want.Places[len(want.Places)-1]; last > len(g.Drops) {
		return picture.Refuse("number the drops as their places on the card are", "the plan has a drop %d, the printed card places 1 to %d", last, len(g.Drops))
	}
	held := slices.DeleteFunc(slices.Clone(want.Rows), func(n int) bool { return n == 0 })
	if lie := rowsOfPlaces(want.Places); len(held) > 0 && !slices.Equal(held, lie) {
		return picture.Refuse("give each drop the number printed beside its place, and leave the rows out",
			"the plan leaves numbers out, so they are those of places, and %s lie in rows of %s, not of %s",
			listed("place", "places", want.Places), counted(lie), counted(held))
	}
	return nil
}

// site is a printed card as it lies in the flattened window.
type site struct {
	geometry card.Geometry
	onto     plane.Homography // mm to pixels of the window
	back     plane.Homography
	pxPerMM  float64
}

func newSite(c *printedCard, f *flattened) *site {
	s := &site{geometry: c.geometry}
	s.onto = plane.Homography{1, 0, -float64(f.x0), 0, 1, -float64(f.y0), 0, 0, 1}.After(c.onto)
	s.back = s.onto.Inverse()
	j := s.onto.Jacobian(plane.Point{})
	s.pxPerMM = math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
	return s
}

func (s *site) mm(i int32, w int) plane.Point {
	return s.back.Apply(centreAt(i, w))
}

// clean leaves out of the window what is printed, as far as a blurred edge of it
// reaches, and closes the rings of the
// places: what lies under a ring is taken to be the mean of what lies on either
// side of it, drop or card.
func (s *site) clean(f *flattened, edgePx float64) {
	const around = 0.3 // mm: ink spreads, and so does JPEG's blur
	mask := newPrintMask(s.geometry, around+max(1, edgePx)/s.pxPerMM, false)
	for y := range f.h {
		row := f.inside[y*f.w : (y+1)*f.w]
		onCard := s.back.AlongRow(float64(y) + 0.5)
		for x, in := range row {
			row[x] = in && mask.isBare(onCard(float64(x)+0.5))
		}
	}
	for _, place := range s.geometry.Drops {
		s.closeRing(f, place)
	}
}

func (s *site) closeRing(f *flattened, place card.Place) {
	half := 0.35 + 1.2/s.pxPerMM // mm: the line and its blur
	inner, outer := place.RadiusMM-half, place.RadiusMM+half
	sample := func(p plane.Point) int {
		q := s.onto.Apply(p)
		x, y := int(q.X), int(q.Y)
		if x < 0 || y < 0 || x >= f.w || y >= f.h {
			return -1
		}
		return y*f.w + x
	}
	plane.EachRow(s.circle(at(place.Centre), outer), f.w, f.h, func(y, from, to int) {
		onCard := s.back.AlongRow(float64(y) + 0.5)
		for x := from; x < to; x++ {
			i := y*f.w + x
			p := onCard(float64(x) + 0.5)
			d := p.Minus(at(place.Centre))
			if d.X*d.X+d.Y*d.Y <= inner*inner || place.OverBlack && p.Y > place.Centre.Y-half {
				continue
			}
			r := d.Length()
			a := sample(at(place.Centre).Plus(d.Times(inner / r)))
			b := sample(at(place.Centre).Plus(d.Times(outer / r)))
			if a < 0 || b < 0 {
				continue
			}
			for c := range f.ratio {
				f.ratio[c][i] = (f.ratio[c][a] + f.ratio[c][b]) / 2
			}
		}
	})
}

// circle is the outline, in the window, of a circle on the card.
func (s *site) circle(centre plane.Point, radiusMM float64) []plane.Point {
	const sides = 72
	outline := make([]plane.Point, sides)
	for k := range outline {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / sides)
		outline[k] = s.onto.Apply(centre.Plus(plane.Point{X: cos, Y: sin}.Times(radiusMM)))
	}
	return outline
}

// Limits of what may be a drop on a place, in mm.
const (
	smallestRadius = 2.5
	largestRadius  = 14.0
	farthestOff    = 9.0 // from the middle of its place
	notedOff       = 3.5
	widestPiece    = 24.0 // is asked for; wider ones cover patches and the room for doses
)

// onPlaces gives each place its drop: the largest of what lies there. It
// returns the drops by number, and what lies nowhere.
func (s *site) onPlaces(found []blob, f *flattened) (drops, stray []placed) {
	best := map[int]placed{}
	for _, b := range found {
		d, ok := s.placed(b, f)
		if !ok {
			stray = append(stray, d)
			continue
		}
		if other, taken := best[d.number]; taken {
			if other.diameterMM > d.diameterMM {
				d, other = other, d
			}
			stray = append(stray, other)
		}
		best[d.number] = d
	}
	for _, d := range best {
		drops = append(drops, d)
	}
	slices.SortFunc(drops, func(a, b placed) int { return a.number - b.number })
	return drops, stray
}

// placed says on which place a drop lies, false for none. Of a drop over the
// bar only the part on white was seen; the rest is completed.
func (s *site) placed(b blob, f *flattened) (placed, bool) {
	centre := s.back.Apply(b.Centre)
	place := s.nearest(centre)
	d := placed{blob: b, number: place.Number}
	if place.OverBlack {
		var ok bool
		if centre, ok = s.complete(&d, f); !ok {
			return d, false
		}
		place = s.nearest(centre)
		d.number = place.Number
		d.onWhite, d.onBlack = s.sides(f.w)
	}
	var flat []plane.Point
	for _, p := range d.hull {
		flat = append(flat, s.back.Apply(p))
	}
	area := math.Abs(plane.PolygonArea(flat))
	d.diameterMM = 2 * math.Sqrt(area/math.Pi)
	d.share = area / (s.geometry.PaperMM.X * s.geometry.PaperMM.Y)
	d.offMM = centre.Minus(at(place.Centre)).Length()
	ok := d.offMM < farthestOff && d.diameterMM > 2*smallestRadius && d.diameterMM < 2*largestRadius
	return d, ok
}

func (s *site) nearest(p plane.Point) card.Place {
	return slices.MinFunc(s.geometry.Drops, func(a, b card.Place) int {
		da, db := at(a.Centre).Minus(p).Length(), at(b.Centre).Minus(p).Length()
		if da < db {
			return -1
		}
		return 1
	})
}

// complete replaces a drop cut off by the black bar with the whole circle whose
// arc it shows, and returns its centre.
func (s *site) complete(d *placed, f *flattened) (centre plane.Point, ok bool) {
	const clear = 0.6 // mm above the part that is left out along the bar
	edge := s.geometry.BlackBar.Min.Y - 0.3 - 2/s.pxPerMM - clear
	var arc []plane.Point
	for i, p := range d.hull { // a point every half millimetre of the hull's sides
		a, b := s.back.Apply(p), s.back.Apply(d.hull[(i+1)%len(d.hull)])
		steps := 1 + int(b.Minus(a).Length()/0.5)
		for k := range steps {
			if q := plane.Between(a, b, float64(k)/float64(steps)); q.Y < edge {
				arc = append(arc, q)
			}
		}
	}
	centre, radius, ok := plane.CircleThrough(arc)
	for range 4 { // the line around half a drop is cut short at its corners
		if c, r, found := plane.CircleThrough(s.arcAround(centre, radius, edge, f)); ok && found && r < largestRadius {
			centre, radius = c, r
		}
	}
	if !ok || radius > largestRadius || edge-(centre.Y-radius) < 0.45*radius {
		return centre, false
	}
	d.hull = s.circle(centre, radius)
	d.pixels = nil
	plane.EachRow(d.hull, f.w, f.h, func(y, from, to int) {
		for x := from; x < to; x++ {
			d.pixels = append(d.pixels, int32(y*f.w+x))
		}
	})
	if len(d.pixels) == 0 {
		return centre, false
	}
	d.Ellipse = plane.MomentsOfPixels(d.pixels, f.w)
	d.solid = 1
	return centre, true
}

// seekOverBar looks for drops half over the bar that were not found as blobs, such as undyed
// wax, which is as white as the paper: on the bar its edge is the sharpest of all.
func (s *site) seekOverBar(drops []placed, f *flattened) []placed {
	if len(drops) == 0 {
		return drops
	}
	var sizes []float64
	held := map[int]bool{}
	for _, d := range drops {
		sizes = append(sizes, d.diameterMM/2)
		held[d.number] = true
	}
	usual := rank.Median(sizes)
	edge := s.geometry.BlackBar.Min.Y - 0.9 - 2/s.pxPerMM
	const fewest, roundest = 48, 0.05 // rays; of the radius
	for _, place := range s.geometry.Drops {
		if !place.OverBlack || held[place.Number] {
			continue
		}
		centre, radius, ok := at(place.Centre), usual, true
		var arc []plane.Point
		for range 4 {
			if arc = s.arcAround(centre, radius, edge, f); ok {
				centre, radius, ok = plane.CircleThrough(arc)
			}
		}
		off := make([]float64, len(arc))
		for i, q := range arc {
			off[i] = math.Abs(q.Minus(centre).Length() - radius)
		}
		if !ok || len(arc) < fewest || rank.Median(off) > roundest*radius || radius < 0.6*usual || radius > 1.6*usual {
			continue
		}
		b := blob{hull: s.circle(centre, radius), solid: 1}
		b.pixels = pixelsIn(b.hull, f.w, f.h)
		if len(b.pixels) == 0 {
			continue
		}
		b.Ellipse = plane.MomentsOfPixels(b.pixels, f.w)
		if d, ok := s.placed(b, f); ok {
			drops = append(drops, d)
		}
	}
	slices.SortFunc(drops, func(a, b placed) int { return a.number - b.number })
	return drops
}

// arcAround looks for the edge of a drop along rays from its middle, on white above the
// bar and on black within it: where the light changes most within a pixel or two.
func (s *site) arcAround(centre plane.Point, radius, edge float64, f *flattened) []plane.Point {
	const rays, least, most, clear = 96, 0.7, 1.4, 0.05
	bar := s.geometry.BlackBar
	margin := bar.Min.Y - edge
	var arc []plane.Point
	step := 0.5 / s.pxPerMM
	for k := range rays {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / rays)
		way := plane.Point{X: cos, Y: sin}
		steepest := clear
		var found plane.Point
		for r := least * radius; r < most*radius; r += step {
			at := centre.Plus(way.Times(r))
			black := at.Y > bar.Min.Y+margin && at.Y < bar.Max.Y-margin
			if at.Y >= edge && !black {
				continue
			}
			in, ok := f.near(s.onto.Apply(at.Minus(way.Times(2*step))), black)
			out, also := f.near(s.onto.Apply(at.Plus(way.Times(2*step))), black)
			if v := distance(in, out); ok && also && v > steepest {
				steepest, found = v, at
			}
		}
		if steepest > clear {
			arc = append(arc, found)
		}
	}
	return arc
}

// sides returns the pixels that lie clearly on white and clearly on black: wax
// spreads light across the bar's edge.
func (s *site) sides(w int) (onWhite, onBlack func(i int32) bool) {
	spread := 0.8 + 1/s.pxPerMM // mm
	bar := s.geometry.BlackBar
	onWhite = func(i int32) bool { return s.mm(i, w).Y < bar.Min.Y-spread }
	onBlack = func(i int32) bool {
		y := s.mm(i, w).Y
		return y > bar.Min.Y+spread && y < bar.Max.Y-spread
	}
	return onWhite, onBlack
}

// checkPlaces compares the places that hold a drop with the plan. What lies on no
// place only says what to do about it.
func checkPlaces(drops, stray []placed, planned []int) *picture.Refusal {
	check := "check that this is the photograph of the card with its drops"
	look := "look at the overlay to see what was found, then correct the plan, which may leave out the numbers of empty places, or photograph the card again"
	if slices.ContainsFunc(stray, func(d placed) bool { return d.diameterMM > 2*largestRadius }) {
		look = fmt.Sprintf("lay pieces of wax wider than %.0f mm on plain white card: they cover too much of this one's print", widestPiece)
		check = look
	}
	if len(drops) == 0 {
		return picture.Refuse(check, "no drops were found on the card")
	}
	if planned == nil {
		return nil
	}
	var missing, extra []int
	found := numbersOf(drops)
	for _, n := range planned {
		if !slices.Contains(found, n) {
			missing = append(missing, n)
		}
	}
	for _, n := range found {
		if !slices.Contains(planned, n) {
			extra = append(extra, n)
		}
	}
	switch {
	case len(missing) > 0 && len(stray) > 0:
		return picture.Refuse(look, "no drop was found on %s, but wax that fits no place: drops may have run into each other", listed("place", "places", missing))
	case len(missing) > 0:
		return picture.Refuse(look, "no drop was found on %s", listed("place", "places", missing))
	case len(extra) > 0:
		return picture.Refuse(look, "the plan names no drop for %s, but wax lies there", listed("place", "places", extra))
	}
	return nil
}

// listed writes "place 3", "places 3, 5 and 6", with the noun for one and for many.
func listed(one, many string, numbers []int) string {
	words := make([]string, len(numbers))
	for i, n := range numbers {
		words[i] = strconv.Itoa(n)
	}
	return english.Plural(len(words), one, many) + " " + english.And(words)
}

// numbersOf returns the numbers of drops.
func numbersOf(drops []placed) []int {
	numbers := make([]int, len(drops))
	for i, d := range drops {
		numbers[i] = d.number
	}
	return numbers
}

// rowsOfPlaces counts the drops in each row of places that holds any.
func rowsOfPlaces(numbers []int) []int {
	var count [card.Rows]int
	for _, n := range numbers {
		count[(n-1)/card.Columns]++
	}
	var rows []int
	for _, n := range count {
		if n > 0 {
			rows = append(rows, n)
		}
	}
	return rows
}
