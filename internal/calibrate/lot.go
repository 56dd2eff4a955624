package calibrate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// How lots of a dye differ before a drop of the new one is seen: the log of its
// strength, and each coefficient of its curve for itself, as standard deviations
// (common practice, no source).
const (
	lotStrengthSpread = 0.15
	lotHueSpread      = 0.05
)

// WithLot returns the model with a new lot of a dye beside the old, under a name
// of its own. It starts from what is known of the old lot, with room for another
// strength and a little for another hue; Sight, then Pot.Learned, teach it by a
// drop. The model itself is not changed.
func (m *Model) WithLot(dye, lot string) (*Model, error) {
	if err := m.knows(wax.Recipe{{Dye: dye, DoseGPerKg: 1}}); err != nil {
		return nil, err
	}
	if dyeAt(m.Dyes, lot) >= 0 {
		return nil, fmt.Errorf("there is a dye named %s already; give the new lot another name", lot)
	}
	twin := m.Dyes[dyeAt(m.Dyes, dye)]
	twin.Name = lot
	next := *m
	next.Dyes = append(slices.Clone(m.Dyes), twin)
	slices.SortFunc(next.Dyes, func(a, b DyeRange) int { return cmp.Compare(a.Name, b.Name) })
	next.layout = newLayout(next.Dyes, m.layout.cards, m.KnowsLiquid())

	// origin[i] is the old unknown that the new unknown i starts from.
	origin := make([]int, next.layout.size)
	m.layout.correspond(next.layout, func(from, into int) { origin[into] = from })
	old, fresh := m.layout.dyes[dyeAt(m.Dyes, dye)], next.layout.dyes[dyeAt(next.Dyes, lot)]
	old.correspond(fresh, func(from, into int) { origin[into] = from })

	next.theta, next.ensemble = make([]float64, next.layout.size), nil
	next.covariance = mat.NewSymDense(next.layout.size, nil)
	for i, from := range origin {
		next.theta[i] = m.theta[from]
		for k := i; k < len(origin); k++ {
			next.covariance.SetSym(i, k, m.covariance.At(from, origin[k]))
		}
	}
	for i := range knots {
		for k := i; k < knots; k++ {
			v := next.covariance.At(fresh.at+i, fresh.at+k) + lotStrengthSpread*lotStrengthSpread
			if i == k {
				v += lotHueSpread * lotHueSpread
			}
			next.covariance.SetSym(fresh.at+i, fresh.at+k, v)
		}
	}
	// The exponent and the rest of a lot are those of the old, but for rounding
	// that keeps the covariance positive definite.
	for _, at := range []int{fresh.at + exponent, fresh.liquidRatio, fresh.scatter, fresh.scatter + scatterSlope} {
		if at >= waxUnknowns {
			next.covariance.SetSym(at, at, next.covariance.At(at, at)+1e-8)
		}
	}
	return &next, nil
}

// LotChange is what one drop tells of a new lot of a dye.
type LotChange struct {
	// Strength is how strong the lot is, 1 as the old one, and From and To its
	// 95 % interval. An error in weighing reads as a change of strength.
	Strength, From, To float64
	// HueMoved says that no change of strength explains the drop; HueMissDE00 is
	// how far its colour stays away from the nearest that strength alone gives.
	HueMoved    bool
	HueMissDE00 float64
}

// z95 is the two-sided 95 % point of the normal distribution.
const z95 = 1.959964

// chiSquare99 is the 99 % point of chi-square with two degrees of freedom
// (NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.4).
const chiSquare99 = 9.210

// Lot compares a drop of a new lot, alone in its wax, with what is known of the
// old lot. The drip's recipe names the old lot's dye at the dose weighed; its
// DoseSpread is not used.
func (m *Model) Lot(d Drip) (LotChange, error) {
	if len(d.Recipe) != 1 {
		return LotChange{}, fmt.Errorf("a lot is compared by a drop of its dye alone; this one has %d dyes", len(d.Recipe))
	}
	d.DoseSpread = 2 // nothing is assumed of the strength
	pot, err := m.Sight(d)
	if err != nil {
		return LotChange{}, err
	}
	at := math.Log(pot.Recipe[0].DoseGPerKg / d.Recipe[0].DoseGPerKg)
	half := z95 * pot.DoseSpread[0]
	change := LotChange{Strength: math.Exp(at), From: math.Exp(at - half), To: math.Exp(at + half)}

	// The drop against the old lot at that strength: three numbers, one of which
	// the strength has taken.
	same, err := m.Predict(pot.Recipe, d.View)
	if err != nil {
		return LotChange{}, err
	}
	s, miss := dense(same.Cov), mat.NewVecDense(3, nil)
	for r := range 3 {
		miss.SetVec(r, d.Colour.Lab.Vector()[r]-same.Lab.Vector()[r])
		for c := range 3 {
			s.Set(r, c, s.At(r, c)+d.Colour.Cov[r][c])
		}
	}
	var solved mat.VecDense
	if err := solved.SolveVec(s, miss); err != nil {
		return LotChange{}, fmt.Errorf("this drop cannot be compared (%w)", err)
	}
	change.HueMoved = mat.Dot(miss, &solved) > chiSquare99
	change.HueMissDE00 = spectrum.DE00(same.Lab, d.Colour.Lab)
	return change, nil
}

// weighing is the standard error of the log of a weighed dose.
const weighing = 0.03

// standardised is the log strength over its standard error, weighing counted.
func (c LotChange) standardised() float64 {
	spread := math.Log(c.To/c.From) / (2 * z95)
	return math.Log(c.Strength) / math.Hypot(spread, weighing)
}
