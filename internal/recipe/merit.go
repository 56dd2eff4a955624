package recipe

import (
	"cmp"
	"math"
)

// merit orders recipes: the smaller is the better.
type merit struct {
	// miss is the dE00 in tenths, or the tolerance where that is larger: all
	// recipes within the tolerance are equally near, and drops do not repeat to
	// less than a tenth.
	miss float64
	// unpriced counts dyes without a recorded price, which cannot be compared.
	unpriced int
	price    float64
	dyes     int
	de00     float64
}

// compare returns -1 when m is better than other. Since it compares one number
// after another, a merit whose numbers are all lower bounds bounds the merit.
func (m merit) compare(other merit) int {
	return cmp.Or(
		cmp.Compare(m.miss, other.miss),
		cmp.Compare(m.unpriced, other.unpriced),
		cmp.Compare(m.price, other.price),
		cmp.Compare(m.dyes, other.dyes),
		cmp.Compare(m.de00, other.de00),
	)
}

func (s *search) merit(set []*colour, portions *[MostDyes]int, de00 float64) merit {
	m := merit{miss: max(tenths(de00), s.limits.ToleranceDE00), dyes: len(set), de00: de00}
	for j, c := range set {
		if c.PricePerG == 0 {
			m.unpriced++
		}
		m.price += c.pricePerKg(portions[j])
	}
	return m
}

// tenths rounds a dE00 up to tenths.
func tenths(de00 float64) float64 { return math.Ceil(de00*10) / 10 }
