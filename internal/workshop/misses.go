package workshop

import "slices"

// Misses sums up how far predictions lay from what was measured, in dE00; with a
// Count of 0 nothing is known.
type Misses struct {
	Count                 int
	MedianDE00, WorstDE00 float64
}

func missesOf(de00 []float64) Misses {
	if len(de00) == 0 {
		return Misses{}
	}
	sorted := slices.Sorted(slices.Values(de00))
	middle := len(sorted) / 2
	median := sorted[middle]
	if len(sorted)%2 == 0 {
		median = (sorted[middle-1] + median) / 2
	}
	return Misses{Count: len(sorted), MedianDE00: median, WorstDE00: sorted[len(sorted)-1]}
}

// OneDose reports whether all drops with a dye in them have one dose of it. Left out,
// such a drop is predicted from its likes, which tells nothing of any other dose.
func (l Lesson) OneDose(dye string) bool {
	doses := map[float64]bool{}
	for _, s := range l.Drops {
		if dose := s.Recipe.Dose(dye); dose > 0 {
			doses[dose] = true
		}
	}
	return len(doses) == 1
}

// LeftOut sums up the drops with a dye in them, each as a fit that never saw it
// predicts it; none of a dye that has one dose alone.
func (l Lesson) LeftOut(dye string) Misses {
	if l.OneDose(dye) {
		return Misses{}
	}
	var de00 []float64
	for i, fit := range l.Model.Drops {
		if l.Drops[i].Recipe.Dose(dye) > 0 && fit.LeftOutDE00 != nil {
			de00 = append(de00, *fit.LeftOutDE00)
		}
	}
	return missesOf(de00)
}

// CheckMisses sums up the drops kept back.
func (l Lesson) CheckMisses() Misses {
	var de00 []float64
	for _, c := range l.Checks {
		de00 = append(de00, c.MissDE00)
	}
	return missesOf(de00)
}

// ChecksHeld counts the checks inside the intervals of their predictions.
func (l Lesson) ChecksHeld() int {
	held := 0
	for _, c := range l.Checks {
		if c.Held() {
			held++
		}
	}
	return held
}
