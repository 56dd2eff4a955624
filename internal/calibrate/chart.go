package calibrate

// Rule is one of the run rules of a control chart.
type Rule int

// The zone rules of Western Electric 1956, "Statistical Quality Control
// Handbook", pp. 25-27: each fires on one side of the centre line.
const (
	BeyondThree Rule = iota + 1 // a point beyond three standard errors
	TwoOfThree                  // two of three in a row beyond two
	FourOfFive                  // four of five in a row beyond one
	EightInARow                 // eight in a row on one side
)

// String says what the rule saw.
func (r Rule) String() string {
	switch r {
	case BeyondThree:
		return "one check beyond three standard errors"
	case TwoOfThree:
		return "two of three checks beyond two standard errors on one side"
	case FourOfFive:
		return "four of five checks beyond one standard error on one side"
	case EightInARow:
		return "eight checks in a row on one side"
	}
	return "no rule"
}

// Alarm is a point of a control chart at which a rule fires.
type Alarm struct {
	Rule Rule
	// At is the index of the point that completed the pattern; Above tells the
	// side.
	At    int
	Above bool
}

// zoneRules say that so many of the last points lie beyond the limit, the point
// itself among them.
var zoneRules = []struct {
	rule     Rule
	hits, of int
	beyond   float64
}{{BeyondThree, 1, 1, 3}, {TwoOfThree, 2, 3, 2}, {FourOfFive, 4, 5, 1}, {EightInARow, 8, 8, 0}}

// Alarms runs the zone rules over a control chart: the points in order of time,
// each its distance from the centre line over its standard error. With nothing
// wrong, the first alarm comes after 92 points on average (Champ and Woodall
// 1987, Technometrics 29:393).
func Alarms(points []float64) []Alarm {
	var out []Alarm
	for at := range points {
		for _, z := range zoneRules {
			for _, side := range []float64{1, -1} {
				if completes(points[:at+1], side, z.hits, z.of, z.beyond) {
					out = append(out, Alarm{z.rule, at, side > 0})
				}
			}
		}
	}
	return out
}

// completes reports whether the last point is beyond the limit on that side and
// with it so many of the last points.
func completes(points []float64, side float64, hits, of int, beyond float64) bool {
	last := len(points) - 1
	if !(side*points[last] > beyond) {
		return false
	}
	for _, p := range points[max(0, len(points)-of):] {
		if side*p > beyond {
			hits--
		}
	}
	return hits <= 0
}

// ChartPoint is one check drop of a dye on its control chart: the log of its
// strength against what was learned, over its standard error. The error counts
// that the weighing of a check is good to about 3 % (common practice, no
// source).
func (m *Model) ChartPoint(check Drip) (float64, error) {
	change, err := m.Lot(check)
	if err != nil {
		return 0, err
	}
	return change.standardised(), nil
}
