package recipe

import (
	"math"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// colour is a dye as the search sees it.
type colour struct {
	Ingredient
	calibrate.Colourant
	// strength of 0, 1, 2 … portions, up to the maximum dose.
	strength []float64
	// useful is how many portions can be near the target at all.
	useful int
}

func (c *colour) most() int     { return len(c.strength) - 1 }
func (c *colour) full() float64 { return c.strength[c.most()] }
func (c *colour) pricePerKg(portions int) float64 {
	return float64(portions) * c.StepGPerKg * c.PricePerG
}

// found is the best recipe of one set of dyes.
type found struct {
	set      []*colour
	portions [MostDyes]int
	merit    merit
}

// search looks for the best recipes of different sets of dyes.
type search struct {
	palette *calibrate.Palette
	curves  *curves
	undyed  spectrum.Spectrum // and what it holds
	holds   wax.Recipe        // dyes in it already
	target  spectrum.Lab
	limits  Limits
	shelf   []*colour // the dyes that must be used first
	must    int       // how many those are
	beat    merit     // of no use if not better than this
	best    []found   // in order of merit, at most limits.Answers
	near    near      // what can still change the answers
	boxes   int       // looked at
}

// toBeat is the merit that a recipe of the set must beat to change the answer.
func (s *search) toBeat(set []*colour) merit {
	for _, f := range s.best {
		if slices.Equal(f.set, set) {
			return f.merit
		}
	}
	return s.last()
}

// last is the merit that a recipe of another set must beat.
func (s *search) last() merit {
	if len(s.best) < s.limits.Answers {
		return s.beat
	}
	return s.best[len(s.best)-1].merit
}

// offer tries one recipe, worked out exactly.
func (s *search) offer(set []*colour, portions [MostDyes]int) {
	strengths := make([]float64, len(set))
	for j, c := range set {
		strengths[j] = c.strength[portions[j]]
	}
	absorption := s.mix(set, strengths)
	m := s.merit(set, &portions, spectrum.DE00(s.target, s.palette.Lab(&absorption)))
	if m.compare(s.toBeat(set)) >= 0 {
		return
	}
	s.best = slices.DeleteFunc(s.best, func(f found) bool { return slices.Equal(f.set, set) })
	s.best = append(s.best, found{slices.Clone(set), portions, m})
	slices.SortStableFunc(s.best, func(a, b found) int { return a.merit.compare(b.merit) })
	if len(s.best) > s.limits.Answers {
		s.best = s.best[:s.limits.Answers]
	}
}

// all looks at every set of dyes that the limits allow.
func (s *search) all() {
	set := s.shelf[:s.must:s.must]
	low := s.undyed
	for _, c := range set {
		low = c.over(low)
	}
	s.near = nearTo(s.target, s.last().miss)
	s.judgeUseful()
	for size := s.must; size <= s.limits.MaxDyes; size++ {
		s.from(s.must, set, low, size)
	}
}

// over is the absorption with one portion of the dye more.
func (c *colour) over(a spectrum.Spectrum) spectrum.Spectrum {
	for i := range a {
		a[i] += c.Absorption[i] * c.strength[1]
	}
	return a
}

// from looks at all sets of a size that have the given dyes, of which one
// portion each absorbs low, and others of the shelf's rest.
func (s *search) from(next int, set []*colour, low spectrum.Spectrum, size int) {
	if miss := s.last().miss; miss < closer*s.near.within {
		s.near = nearTo(s.target, miss)
		s.judgeUseful()
	}
	if s.tooDark(&low) {
		return
	}
	if len(set) == size {
		s.explore(set)
		return
	}
	for i := next; i < len(s.shelf); i++ {
		if c := s.shelf[i]; c.useful > 0 {
			s.from(i+1, append(set[:len(set):len(set)], c), c.over(low), size)
		}
	}
}

// closer is how much better the answers must have become before it pays to
// work out anew which colours are near.
const closer = 0.9

// tooDark reports that no wax that absorbs this much, or more, is near.
func (s *search) tooDark(absorption *spectrum.Spectrum) bool {
	var most [3]float64
	for i, a := range absorption {
		r := s.curves.chord(i, a, a).most
		for x, w := range weights[i] {
			most[x] += max(0, w) * r
		}
	}
	for x := range most {
		if most[x]+rounding < s.near.xyz[x][0] {
			return true
		}
	}
	return false
}

// judgeUseful finds, for every dye alone, how many portions are not too dark:
// more cannot be near in any company.
func (s *search) judgeUseful() {
	for _, c := range s.shelf {
		low, high := 0, c.useful
		for low < high {
			middle := (low + high + 1) / 2
			a := s.undyed
			for i := range a {
				a[i] += c.Absorption[i] * c.strength[middle]
			}
			if s.tooDark(&a) {
				high = middle - 1
			} else {
				low = middle
			}
		}
		c.useful = low
	}
}

// explore finds the best recipe of one set of dyes, at least a portion of each,
// by branch and bound: depth first, the half that seems nearer before the
// other.
func (s *search) explore(set []*colour) {
	var whole doses
	for j, c := range set {
		whole.least[j], whole.most[j] = 1, c.useful
		if c.useful < 1 {
			return
		}
	}
	boxes := []doses{whole}
	for len(boxes) > 0 && s.boxes < s.limits.MostBoxes {
		s.boxes++
		box := boxes[len(boxes)-1]
		boxes = boxes[:len(boxes)-1]
		before := box.count(len(set))
		aim, ok := s.bound(set, &box)
		switch after := box.count(len(set)); {
		case !ok:
		case after == 1:
			s.offer(set, box.least)
		case after < before/2:
			boxes = append(boxes, box)
		default:
			boxes = append(boxes, box.split(len(set), aim)...)
		}
	}
}

func (b *doses) count(dyes int) float64 {
	n := 1.0
	for j := range dyes {
		n *= float64(b.most[j] - b.least[j] + 1)
	}
	return n
}

// aimOf says where to split a box and which half to look at first.
type aimOf struct {
	dye   int  // to split
	lower bool // look at the lower half first
}

// split halves the box at a dye; the half to look at first comes last.
func (b doses) split(dyes int, aim aimOf) []doses {
	lower, upper := b, b
	middle := int(math.Sqrt(float64(b.least[aim.dye]) * float64(b.most[aim.dye])))
	lower.most[aim.dye], upper.least[aim.dye] = middle, middle+1
	if aim.lower {
		return []doses{upper, lower}
	}
	return []doses{lower, upper}
}

// bound narrows a box to the recipes that can still beat the best, and returns
// false when there are none.
func (s *search) bound(set []*colour, box *doses) (aimOf, bool) {
	beat, n := s.toBeat(set), &s.near
	if s.merit(set, &box.least, 0).compare(beat) >= 0 {
		return aimOf{}, false
	}
	var e enclosure
	if !s.enclose(set, box, n, &e) {
		return aimOf{}, false
	}
	from, to, ok := e.contract(len(set), n)
	if !ok {
		return aimOf{}, false
	}
	colours, ok := e.colours(len(set), n)
	if !ok {
		return aimOf{}, false
	}
	least := max(0, leastDE00(s.target, colours))
	if s.merit(set, &box.least, least).compare(beat) >= 0 {
		return aimOf{}, false
	}
	for j, c := range set {
		floor := c.strength[box.least[j]]
		box.least[j], box.most[j] = c.portionsWithin(floor+from[j], floor+to[j], box.least[j], box.most[j])
		if box.least[j] > box.most[j] {
			return aimOf{}, false
		}
	}
	return e.aim(len(set), s.target, box), true
}

// portionsWithin returns the least and the most portions, out of least..most,
// whose strength lies between two strengths. Adding a difference to a strength
// need not give the other strength to the last bit, hence the slack.
func (c *colour) portionsWithin(from, to float64, least, most int) (int, int) {
	within := c.strength[least : most+1]
	first, _ := slices.BinarySearch(within, from*(1-rounding))
	last, exact := slices.BinarySearch(within, to*(1+rounding))
	if !exact {
		last--
	}
	return least + first, least + last
}

// aim splits the dye that moves the colour most, towards the side of the target.
func (e *enclosure) aim(dyes int, target spectrum.Lab, box *doses) aimOf {
	metric := target.Metric00()
	best, a := -1.0, aimOf{}
	middle := e.at
	for j := range dyes {
		for r := range middle {
			middle[r] += e.per[r][j] * e.width[j] / 2
		}
	}
	for j := range dyes {
		if box.most[j] == box.least[j] {
			continue
		}
		length, along := 0.0, 0.0
		for r, t := range target.Vector() {
			for c := range 3 {
				length += e.per[r][j] * metric[r][c] * e.per[c][j]
				along += (t - middle[r]) * metric[r][c] * e.per[c][j]
			}
		}
		if moves := math.Sqrt(max(0, length)) * e.width[j]; moves > best {
			best, a = moves, aimOf{j, along < 0}
		}
	}
	return a
}
