package calibrate

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// How lots of a dye differ before a drop of the new one is seen, as standard
// deviations: the log of its strength, each coefficient of its curve for itself,
// and all else that is known of a dye (common practice, no source).
const (
	lotStrengthSpread = 0.15
	lotHueSpread      = 0.05
	lotOtherSpread    = 0.02
)

// besideLots gives every lot of a group, but the one with most drops, that one's
// name, reference and tested doses too, and adds lots that no drop has shown.
// Groups of which nothing was seen are left out.
func besideLots(dyes []DyeRange, groups [][]string) []DyeRange {
	for _, group := range groups {
		hub := -1
		for _, name := range group {
			if d := dyeAt(dyes, name); d >= 0 && (hub < 0 || dyes[d].Drops > dyes[hub].Drops) {
				hub = d
			}
		}
		if hub < 0 {
			continue
		}
		known := dyes[hub]
		for _, name := range group {
			if name == known.Name {
				continue
			}
			d := dyeAt(dyes, name)
			if d < 0 {
				d, dyes = len(dyes), append(dyes, DyeRange{
					Name: name, MinGPerKg: known.MinGPerKg, MaxGPerKg: known.MaxGPerKg,
					LiquidMinGPerKg: known.LiquidMinGPerKg, LiquidMaxGPerKg: known.LiquidMaxGPerKg,
				})
			}
			lot := &dyes[d]
			lot.LotOf, lot.ReferenceGPerKg, lot.Scatters = known.Name, known.ReferenceGPerKg, known.Scatters
			lot.MinGPerKg, lot.MaxGPerKg = min(lot.MinGPerKg, known.MinGPerKg), max(lot.MaxGPerKg, known.MaxGPerKg)
			if from, to := known.LiquidMinGPerKg, known.LiquidMaxGPerKg; to > 0 {
				if lot.LiquidMaxGPerKg > 0 {
					from, to = min(lot.LiquidMinGPerKg, from), max(lot.LiquidMaxGPerKg, to)
				}
				lot.LiquidMinGPerKg, lot.LiquidMaxGPerKg = from, to
			}
		}
	}
	return dyes
}

// lot sets the prior of a lot given the one beside it: the coefficients of its
// curve less those of the other's have the covariance h² I + s² 1 1ᵀ, with h the
// spread of hue and s that of strength, whose inverse is (Sherman and Morrison
// 1950, Ann. Math. Stat. 21:124)
//
//	1/h² (I - s² / (h² + n s²) 1 1ᵀ)
func (p *prior) lot(hub, lot dyePlaces) {
	const h2, s2 = lotHueSpread * lotHueSpread, lotStrengthSpread * lotStrengthSpread
	for i := range knots {
		p.mean[lot.at+i] = p.mean[hub.at+i]
		for k := range i + 1 {
			v := -s2 / (h2 + knots*s2) / h2
			if i == k {
				v += 1 / h2
			}
			p.tie([2]int{hub.at + i, lot.at + i}, [2]int{hub.at + k, lot.at + k}, v)
		}
	}
	p.logDet -= knots*math.Log(h2) + math.Log1p(knots*s2/h2)
	p.likewise(hub.at+exponent, lot.at+exponent, lotOtherSpread)
	if hub.scatter != absent {
		p.likewise(hub.scatter+scatterLevel, lot.scatter+scatterLevel, lotStrengthSpread)
		p.likewise(hub.scatter+scatterSlope, lot.scatter+scatterSlope, lotOtherSpread)
	}
	if hub.liquidRatio == absent {
		p.single(lot.liquidRatio, 0, liquidRatioSpread)
	} else if lot.liquidRatio != absent {
		p.likewise(hub.liquidRatio, lot.liquidRatio, lotOtherSpread)
	}
}

// likewise sets the prior of one unknown of a lot: that of the other, within a
// spread.
func (p *prior) likewise(hub, lot int, spread float64) {
	p.mean[lot] = p.mean[hub]
	p.tie([2]int{hub, lot}, [2]int{hub, lot}, 1/(spread*spread))
	p.logDet -= 2 * math.Log(spread)
}

// tie adds to the precision what costs v (θ_a1 - θ_a0) (θ_b1 - θ_b0), on both
// sides of the diagonal.
func (p *prior) tie(a, b [2]int, v float64) {
	for i := range a {
		for k := range b {
			if a == b && k < i {
				continue // the other side of the diagonal
			}
			sign := 1.0
			if i != k {
				sign = -1
			}
			p.add(a[i], b[k], sign*v)
		}
	}
}

// doubtWeighing widens what is known of a lot's strength by an error in weighing
// of its drops, which the few drops of a new lot do not show.
func (m *Model) doubtWeighing() {
	for d, hub := range m.layout.hubs {
		if hub < 0 || m.Dyes[d].Drops == 0 {
			continue
		}
		level := mat.NewVecDense(m.layout.size, nil)
		for j := range knots {
			level.SetVec(m.layout.dyes[d].at+j, 1)
		}
		m.covariance.SymRankOne(m.covariance, weighing*weighing/float64(m.Dyes[d].Drops), level)
	}
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

// Z95 is the two-sided 95 % point of the normal distribution.
const Z95 = 1.959964

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
	half := Z95 * pot.DoseSpread[0]
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
	spread := math.Log(c.To/c.From) / (2 * Z95)
	return math.Log(c.Strength) / math.Hypot(spread, weighing)
}
