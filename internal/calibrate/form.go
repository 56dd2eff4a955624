package calibrate

import (
	"fmt"
	"math"
	"slices"

	"setshade/internal/wax"
)

// FormDoubt says that the drops of a dye speak against the form it was declared
// to have.
type FormDoubt struct {
	Dye string
	// Scatters is what the drops speak for: particles that scatter, or a dye
	// that dissolves.
	Scatters bool
	// LogOdds is the log of how much more likely the drops are under it, all
	// unknowns integrated out.
	LogOdds float64
}

// String says it to the maker.
func (f FormDoubt) String() string {
	if f.Scatters {
		return fmt.Sprintf("%s was recorded as a dye that dissolves, but its drops look like a pigment's: it hides as well as colours", f.Dye)
	}
	return fmt.Sprintf("%s was recorded as a pigment or mica, but its drops look like a dissolved dye's: it colours and hides nothing", f.Dye)
}

// strongEvidence is the log odds called "very strong" by Kass and Raftery 1995,
// "Bayes factors", J. Am. Stat. Assoc. 90:773: twice the log above 10.
const strongEvidence = 5.0

// hidesNothing is the scattering, over that of the wax, below which the drops of
// a dye show no particles. A pigment that scatters nothing is a dye, so the
// evidence can speak strongly against a dye, but never against a pigment.
const hidesNothing = 0.1

// hiding is what dye number d adds to the scattering of the wax at its highest
// dose tested, over that of the wax, at 550 nm.
func (m *Model) hiding(d int) float64 {
	at, r := m.layout.dyes[d], m.Dyes[d]
	strength := m.theta[at.at+exponent] * math.Log(r.MaxGPerKg/r.ReferenceGPerKg)
	return math.Exp(m.theta[at.scatter+scatterLevel] + strength)
}

// FormDoubts compares, for every dye, the evidence for its declared form with
// that for the other, and names the dyes whose declared form looks wrong: a
// dissolved dye against very strong evidence, a pigment when the evidence is
// against it at all and its drops show next to no scattering. The
// samples are those the model was learned from.
func (m *Model) FormDoubts(samples []Sample) []FormDoubt {
	declared := newProblem(samples, m.layout, m.media, m.weights())
	at := declared.descend(m.theta)
	asDeclared := declared.evidence(at)
	declared = declared.bent(at.theta)
	doubts := make([]*FormDoubt, len(m.Dyes))
	eachFit(len(m.Dyes), func(d int) {
		if m.layout.hubs[d] >= 0 {
			return // judged with the lot it was learned beside
		}
		dyes := append([]DyeRange(nil), m.Dyes...)
		for e := range dyes {
			if e == d || m.layout.hubs[e] == d {
				dyes[e].Scatters = !dyes[e].Scatters
			}
		}
		other := newLayout(dyes, m.layout.cards, m.KnowsLiquid()).telling(m.layout.told)
		p := newProblem(samples, other, m.media, m.weights())
		bowed := p // the evidence is taken without bows
		bowed.drops = slices.Clone(p.drops)
		for i, s := range samples {
			changed := slices.ContainsFunc(s.Recipe, func(part wax.Part) bool {
				e := dyeAt(dyes, part.Dye)
				return dyes[e].Scatters != m.Dyes[e].Scatters
			})
			if !changed {
				bowed.drops[i].bow = declared.drops[i].bow
			}
		}
		odds := p.evidence(bowed.descend(m.layout.carry(m.theta, other, p.prior.mean))) - asDeclared
		if odds > strongEvidence || !dyes[d].Scatters && odds > 0 && m.hiding(d) < hidesNothing {
			doubts[d] = &FormDoubt{dyes[d].Name, dyes[d].Scatters, odds}
		}
	})
	var out []FormDoubt
	for _, doubt := range doubts {
		if doubt != nil {
			out = append(out, *doubt)
		}
	}
	return out
}

// mica's sparkle is left out of every prediction.
const sparkle = "%s is a mica: its sparkle changes with the angle and is not predicted, only the colour between the sparkles"

// FormCautions says what the forms of dyes keep a prediction from telling.
func FormCautions(forms map[string]wax.Form, recipe wax.Recipe) []string {
	var out []string
	for _, p := range recipe {
		if forms[p.Dye] == wax.Mica {
			out = append(out, fmt.Sprintf(sparkle, p.Dye))
		}
	}
	return out
}
