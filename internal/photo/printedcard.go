package photo

import (
	"cmp"
	"math"
	"slices"

	"setshade/internal/card"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// printedCard is a printed test card as found in a picture.
type printedCard struct {
	geometry card.Geometry
	onto     plane.Homography // from the card, in mm from its middle, to pixels
	spots    []spot           // the fiducials that were seen
	// offPx is the middling distance of the marks from where the map says.
	offPx float64
	// spoilt says that some cells of its code could not be seen.
	spoilt bool
}

func at(p card.Point) plane.Point { return plane.Point{X: p.X, Y: p.Y} }

// corners returns those of the paper: top left of the print first, clockwise on
// the card.
func (c *printedCard) corners() plane.Quad {
	x, y := c.geometry.PaperMM.X/2, c.geometry.PaperMM.Y/2
	var q plane.Quad
	for i, p := range [4]plane.Point{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}} {
		q[i] = c.onto.Apply(p)
	}
	return q
}

// guess is an assignment of spots to fiducials, -1 for one that is not seen.
type guess struct {
	spot  [4]int
	seen  int
	onto  plane.Homography
	wrong float64 // of the shapes of the fiducials, relative
}

// findPrinted looks for a printed card: nil for none, a refusal for one whose
// code can't be read, or that is half out of sight.
func findPrinted(p *picture.Picture) (*printedCard, *picture.Refusal) {
	white := newWhiteField(p)
	spots := findSpots(p, white)
	guesses := guessesOf(spots)
	const tried = 6
	var failure error
	for _, g := range guesses[:min(tried, len(guesses))] {
		c := printedCard{geometry: card.Layout(card.A5), onto: g.onto}
		for _, i := range g.spot {
			if i >= 0 {
				c.spots = append(c.spots, spots[i])
			}
		}
		c.refine(p, white, g, spots)
		if err := c.recognise(p, white); err != nil {
			if failure == nil {
				failure = err
			}
			continue
		}
		c.refine(p, white, g, spots)
		return &c, nil
	}
	if failure != nil {
		return nil, &picture.Refusal{What: "a printed card was found, but " + failure.Error(),
			Do: "or print a new card", Cause: failure}
	}
	return nil, halfSeen(spots)
}

// guessesOf returns the ways in which three or four of the spots are the
// fiducials of one card, the best first.
//
// Three fiducials settle the map, because their sizes tell how far away each
// is: where the map H takes (X, Y, 1) to w (x, y, 1), an area shrinks by
// det H / w³, so w is the area to the power -1/3, and
//
//	H = [w1 p1  w2 p2  w3 p3] [P1 P2 P3]⁻¹
//
// The shape of each ellipse and the fourth fiducial then say whether it is true.
func guessesOf(spots []spot) []guess {
	marks := card.Layout(card.A5).Fiducials
	var byKind [2][]int // with a hole, without
	for i, s := range spots {
		if s.hole {
			byKind[0] = append(byKind[0], i)
		} else {
			byKind[1] = append(byKind[1], i)
		}
	}
	kind := func(mark int) []int {
		if marks[mark].InnerRadiusMM > 0 {
			return byKind[0]
		}
		return byKind[1]
	}
	var guesses []guess
	for hidden := range marks {
		m := [3]int{(hidden + 1) % 4, (hidden + 2) % 4, (hidden + 3) % 4}
		for _, a := range kind(m[0]) {
			for _, b := range kind(m[1]) {
				for _, c := range kind(m[2]) {
					if a == b || b == c || a == c {
						continue
					}
					if g, ok := guessOf(spots, marks, m, [3]int{a, b, c}); ok {
						g.seek(spots, marks, hidden, kind(hidden))
						guesses = append(guesses, g)
					}
				}
			}
		}
	}
	slices.SortFunc(guesses, func(a, b guess) int {
		return cmp.Or(cmp.Compare(b.seen, a.seen), cmp.Compare(a.wrong, b.wrong))
	})
	return guesses
}

func guessOf(spots []spot, marks [4]card.Ring, m, s [3]int) (guess, bool) {
	var from, to plane.Homography
	for k := range 3 {
		mark, spot := marks[m[k]].Centre, spots[s[k]]
		w := math.Pow(spot.area, -1.0/3)
		from[k], from[3+k], from[6+k] = mark.X, mark.Y, 1
		to[k], to[3+k], to[6+k] = w*spot.Centre.X, w*spot.Centre.Y, w
	}
	g := guess{spot: [4]int{-1, -1, -1, -1}, seen: 3, onto: to.After(from.Inverse())}
	for k := range 3 {
		wrong := shapeError(g.onto, marks[m[k]], spots[s[k]])
		if !(wrong < mostWrong) {
			return g, false
		}
		g.spot[m[k]] = s[k]
		g.wrong = max(g.wrong, wrong)
	}
	return g, true
}

// mostWrong is how far the moments of a fiducial may lie from what the map
// says, relative to their size: the picture has it to a few percent, and a wrong
// guess far off.
const mostWrong = 0.2

// seek looks for the fiducial that the guess was made without.
func (g *guess) seek(spots []spot, marks [4]card.Ring, hidden int, candidates []int) {
	expected := g.onto.Apply(at(marks[hidden].Centre))
	for _, i := range candidates {
		const near = 1.0 // radii: the guess carries the errors of three sizes across the card
		if slices.Contains(g.spot[:], i) || spots[i].Radius(expected) > near ||
			!(shapeError(g.onto, marks[hidden], spots[i]) < mostWrong) {
			continue
		}
		g.spot[hidden], g.seen = i, 4
	}
}

// shapeError compares the second moments of a spot with those of the fiducial
// under the map, J Jᵀ r²/4 for a disc of radius r and the derivative J.
func shapeError(onto plane.Homography, mark card.Ring, s spot) float64 {
	j := onto.Jacobian(at(mark.Centre))
	if j[0]*j[3]-j[1]*j[2] <= 0 {
		return math.Inf(1) // mirrored
	}
	q := mark.OuterRadiusMM * mark.OuterRadiusMM / 4
	xx, xy, yy := q*(j[0]*j[0]+j[1]*j[1]), q*(j[0]*j[2]+j[1]*j[3]), q*(j[2]*j[2]+j[3]*j[3])
	return (math.Abs(xx-s.SXX) + 2*math.Abs(xy-s.SXY) + math.Abs(yy-s.SYY)) / (s.SXX + s.SYY)
}

// refine fits the map to everything printed that is dark and small: fiducials,
// patches and cells. What lies under wax is found elsewhere and left out.
func (c *printedCard) refine(p *picture.Picture, white *whiteField, g guess, spots []spot) {
	const rounds = 2
	for range rounds {
		var pairs []plane.Pair
		for i, mark := range c.geometry.Fiducials {
			if g.spot[i] >= 0 {
				pairs = append(pairs, plane.Pair{From: at(mark.Centre), To: spots[g.spot[i]].Centre})
			}
		}
		for _, r := range c.darkRects() {
			if seen, ok := c.middleOf(p, white, r); ok {
				pairs = append(pairs, plane.Pair{From: at(r.Centre()), To: seen})
			}
		}
		onto, kept, ok := plane.FitMap(pairs)
		if !ok {
			return
		}
		c.onto = onto
		var off []float64
		for _, k := range kept {
			off = append(off, onto.Apply(k.From).Minus(k.To).Length())
		}
		c.offPx = rank.Median(off)
	}
}

// darkRects are the patches and cells that stand out from white.
func (c *printedCard) darkRects() []card.Rect {
	var out []card.Rect
	const darkEnough = 75 // L*
	for _, patch := range c.geometry.Strip {
		if patch.Colour.Target().L < darkEnough {
			out = append(out, patch.Rect)
		}
	}
	for i, cell := range c.geometry.Cells {
		alone := !(i > 0 && c.geometry.Code[i-1]) && !(i+1 < card.CodeCells && c.geometry.Code[i+1])
		if c.geometry.Code[i] && alone {
			out = append(out, cell)
		}
	}
	return out
}

// middleOf returns the middle of what is dark in a rectangle and a little
// around it; false when that is not about as large as the rectangle.
func (c *printedCard) middleOf(p *picture.Picture, white *whiteField, r card.Rect) (plane.Point, bool) {
	const around = 0.5 // mm: half of the gap between patches
	grown := card.Rect{
		Min: card.Point{X: r.Min.X - around, Y: r.Min.Y - around},
		Max: card.Point{X: r.Max.X + around, Y: r.Max.Y + around},
	}
	var sum plane.Point
	weight, pixels := 0.0, 0.0
	outline := c.outlineOf(grown)
	plane.EachRow(outline, p.W, p.H, func(y, from, to int) {
		for x := from; x < to; x++ {
			const paper = 0.15 // what light white lacks of the brightest near
			dark := max(0, 1-paper-p.Luminance(y*p.W+x)/white.at(x, y))
			sum = sum.Plus(plane.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}.Times(dark))
			weight += dark
			pixels++
		}
	})
	if pixels < 12 || weight < 0.05*pixels {
		return plane.Point{}, false
	}
	return sum.Times(1 / weight), true
}

func (c *printedCard) outlineOf(r card.Rect) []plane.Point {
	return []plane.Point{
		c.onto.Apply(plane.Point{X: r.Min.X, Y: r.Min.Y}), c.onto.Apply(plane.Point{X: r.Max.X, Y: r.Min.Y}),
		c.onto.Apply(plane.Point{X: r.Max.X, Y: r.Max.Y}), c.onto.Apply(plane.Point{X: r.Min.X, Y: r.Max.Y}),
	}
}

func clampInt(v float64, n int) int {
	if !(v > 0) {
		return 0
	}
	return min(int(v), n-1)
}
