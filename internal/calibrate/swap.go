package calibrate

import (
	"cmp"
	"slices"
)

// Swap proposes that two drops of one card bear each other's labels.
type Swap struct {
	// A and B are the IDs of the drops.
	A, B int64
	// Gain is how much better all drops fit with the two labels exchanged, as
	// the log of the ratio of posterior probabilities.
	Gain float64
}

// swapMargin is the gain from which an exchange is proposed: odds of more than
// a thousand to one.
const swapMargin = 7.0

// Swaps looks for swapped labels: two drops of one card, of different recipes,
// at least one of which hardly fits, whose exchange makes the whole fit better
// by a large margin. It proposes and changes nothing; the best comes first, and
// a drop is named once. The samples are those the model was learned from.
func (m *Model) Swaps(samples []Sample) []Swap {
	p := newProblem(samples, m.layout, m.media, m.weights())
	asIs := p.cost(m.theta)
	loss := func(d drop) float64 {
		_, s := d.miss(p.labOf(m.theta, d))
		return loss(s)
	}
	var found []Swap
	for i, a := range samples {
		for k, b := range samples[:i] {
			if a.CardID != b.CardID || a.State != b.State || a.Recipe.String() == b.Recipe.String() {
				continue
			}
			exchanged := p
			exchanged.drops = slices.Clone(p.drops)
			exchanged.drops[i].mix, exchanged.drops[k].mix = p.drops[k].mix, p.drops[i].mix
			better := loss(exchanged.drops[i])+loss(exchanged.drops[k]) < loss(p.drops[i])+loss(p.drops[k])
			suspect := m.Drops[i].Suspicion != "" || m.Drops[k].Suspicion != ""
			if !better && !suspect {
				continue
			}
			if gain := asIs - exchanged.descend(m.theta).cost; gain > swapMargin {
				found = append(found, Swap{b.ID, a.ID, gain})
			}
		}
	}
	slices.SortStableFunc(found, func(x, y Swap) int { return cmp.Compare(y.Gain, x.Gain) })
	var out []Swap
	for _, s := range found {
		if !slices.ContainsFunc(out, func(o Swap) bool { return o.A == s.A || o.B == s.B || o.A == s.B || o.B == s.A }) {
			out = append(out, s)
		}
	}
	return out
}
