package recipe

import (
	"cmp"
	"slices"
)

// beam is how many sets of a size are kept to be made larger.
const beam = 12

// seed finds good recipes before the search proper, so that it has something
// to beat, and returns the nearest colour of doses that need not be whole
// portions. From the dyes that must be used it adds dye after dye, each with
// two starts, keeps the best few sets, and rounds those to portions.
func (s *search) seed() optimum {
	kept := []optimum{s.descend(s.shelf[:s.must:s.must], s.halves(s.must))}
	nearest := kept[0]
	s.round(kept[0])
	for size := s.must + 1; size <= min(s.limits.MaxDyes, len(s.shelf)); size++ {
		var grown []optimum
		for _, o := range kept {
			for _, c := range s.shelf[s.must:] {
				if !slices.Contains(o.set, c) {
					grown = append(grown, s.grow(o, c))
				}
			}
		}
		slices.SortStableFunc(grown, func(a, b optimum) int { return cmp.Compare(a.de00, b.de00) })
		kept = distinct(grown, beam)
		for _, o := range kept {
			s.round(o)
		}
		if kept[0].de00 < nearest.de00 {
			nearest = kept[0]
		}
	}
	return nearest
}

// halves starts the dyes that must be used at half of their full strength.
func (s *search) halves(n int) []float64 {
	out := make([]float64, n)
	for j, c := range s.shelf[:n] {
		out[j] = c.full() / 2
	}
	return out
}

// grow adds a dye to a set: from none of it, and from a fifth of its maximum
// with half of the others.
func (s *search) grow(o optimum, c *colour) optimum {
	set := append(slices.Clone(o.set), c)
	slices.SortStableFunc(set[s.must:], func(a, b *colour) int { return cmp.Compare(a.Name, b.Name) })
	first, second := make([]float64, len(set)), make([]float64, len(set))
	for j, dye := range set {
		if at := slices.Index(o.set, dye); at >= 0 {
			first[j], second[j] = o.strengths[at], o.strengths[at]/2
		} else {
			second[j] = c.full() / 5
		}
	}
	a, b := s.descend(set, first), s.descend(set, second)
	if b.de00 < a.de00 {
		return b
	}
	return a
}

// distinct keeps the first few optima of different sets.
func distinct(sorted []optimum, count int) []optimum {
	var out []optimum
	for _, o := range sorted {
		if len(out) == count {
			break
		}
		if !slices.ContainsFunc(out, func(k optimum) bool { return slices.Equal(k.set, o.set) }) {
			out = append(out, o)
		}
	}
	return out
}

// round offers the whole portions on either side of every dose.
func (s *search) round(o optimum) {
	corners := [][MostDyes]int{{}}
	for j, c := range o.set {
		above, _ := slices.BinarySearch(c.strength, o.strengths[j])
		var next [][MostDyes]int
		for _, head := range corners {
			for _, portions := range []int{above - 1, above} {
				if portions >= 1 && portions <= c.most() {
					head[j] = portions
					next = append(next, head)
				}
			}
		}
		corners = next
	}
	for _, corner := range corners {
		s.offer(o.set, corner)
	}
}
