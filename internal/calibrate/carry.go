package calibrate

import "slices"

// carry turns unknowns of this layout into those of another; what was not there
// takes the value in mean.
func (l layout) carry(theta []float64, to layout, mean []float64) []float64 {
	out := append([]float64(nil), mean...)
	l.correspond(to, func(from, into int) { out[into] = theta[from] })
	return out
}

// correspond calls f for every unknown that both layouts have.
func (l layout) correspond(to layout, f func(from, into int)) {
	span(0, 0, waxUnknowns, f)
	span(l.liquidScale, to.liquidScale, 1, f)
	span(l.liquidGain, to.liquidGain, 1, f)
	span(l.liquidRatio, to.liquidRatio, 1, f)
	for d, dye := range l.ranges {
		if e := dyeAt(to.ranges, dye.Name); e >= 0 {
			l.dyes[d].correspond(to.dyes[e], f)
		}
	}
	for _, id := range l.cards {
		span(l.card(id), to.card(id), 1, f)
	}
	for i, id := range l.told.Drops {
		if k := slices.Index(to.told.Drops, id); k >= 0 {
			f(l.ownAt+i, to.ownAt+k)
		}
	}
}

func (d dyePlaces) correspond(to dyePlaces, f func(from, into int)) {
	span(d.at, to.at, dyeUnknowns, f)
	span(d.scatter, to.scatter, scatterUnknowns, f)
	span(d.liquidRatio, to.liquidRatio, 1, f)
}

// span calls f for so many unknowns in a row, if both are there.
func span(from, into, count int, f func(from, into int)) {
	if from == absent || into == absent {
		return
	}
	for i := range count {
		f(from+i, into+i)
	}
}
