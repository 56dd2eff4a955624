package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// addedLight is how much light of the lamp's colour may be left in all drops of each
// photograph, as a standard deviation of their reflectance factor: the haze round a
// highlight, or what the reader took too much for it. The reader counts it in the
// covariance of every drop; but drops of one photograph have it alike, so that no
// number of them averages it out, and none of them differs from the next by it.
type addedLight map[string]float64

// addedLightOf takes it as the most that the errors of all drops of a photograph
// could have in common. With v the derivative of Lab by added light, Cov - h² v vᵀ has
// no negative variance up to h² = 1 / (vᵀ Cov⁻¹ v). A dark drop, which added light
// moves most, tells the least h.
func addedLightOf(samples []Sample) addedLight {
	a := addedLight{}
	for _, s := range samples {
		if s.LightID == "" {
			continue
		}
		h := mostLight(s.Colour)
		if known, ok := a[s.LightID]; !ok || h < known {
			a[s.LightID] = h
		}
	}
	return a
}

func mostLight(c spectrum.Measured) float64 {
	v := mat.NewVecDense(3, nil)
	for i, moved := range byLight(c.Lab.XYZ(spectrum.D65.White())) {
		v.SetVec(i, moved)
	}
	var solved mat.VecDense
	if solved.SolveVec(dense(c.Cov), v) != nil {
		return 0
	}
	if q := mat.Dot(v, &solved); q > 0 && !math.IsInf(q, 0) {
		return 1 / math.Sqrt(q)
	}
	return 0
}

// own is the colour of a drop with those errors alone that are its own. What is in
// common is not taken wholly, so that a variance is left.
func (a addedLight) own(s Sample) spectrum.Measured {
	const share = 0.95
	if s.LightID == "" {
		return s.Colour
	}
	out, h := s.Colour, a[s.LightID]
	v := byLight(s.Colour.Lab.XYZ(spectrum.D65.White()))
	for i := range v {
		for k := range v {
			out.Cov[i][k] -= share * h * h * v[i] * v[k]
		}
	}
	return out
}

// lightDoubted is a colour of which added light may have moved L* by so much.
func lightDoubted(m spectrum.Measured, byL float64) spectrum.Measured {
	v := byLight(m.Lab.XYZ(spectrum.D65.White()))
	for i := range v {
		for k := range v {
			m.Cov[i][k] += byL * byL * v[i] * v[k] / (v[0] * v[0])
		}
	}
	return m
}

// byLight is the derivative of Lab by an even reflectance factor that is added.
func byLight(c spectrum.XYZ) [3]float64 {
	white := spectrum.D65.White()
	return labSlope(c, white).times([3]float64{white.X, white.Y, white.Z})
}

// doubtLight widens the covariance by the light added to all drops of a photograph.
// To first order such light δ moves the optimum by -Σ g δ, with g the sum over its
// drops of Jᵀ W dLab/dδ, so that each photograph adds
//
//	Σ += h² · (Σ g) (Σ g)ᵀ
func (m *Model) doubtLight(p problem, samples []Sample) {
	pulls := map[string]*mat.VecDense{}
	var photographs []string
	for i, s := range samples {
		if s.LightID == "" {
			continue
		}
		if pulls[s.LightID] == nil {
			pulls[s.LightID] = mat.NewVecDense(m.layout.size, nil)
			photographs = append(photographs, s.LightID)
		}
		p.pullOfLight(m.theta, p.drops[i], pulls[s.LightID])
	}
	moves := make([]mat.VecDense, len(photographs))
	for i, id := range photographs {
		moves[i].MulVec(m.covariance, pulls[id])
	}
	for i, id := range photographs {
		m.covariance.SymRankOne(m.covariance, p.light[id]*p.light[id], &moves[i])
	}
}

// pullOfLight adds to g how light added to a drop moves the gradient of its cost.
func (p problem) pullOfLight(theta []float64, d drop, g *mat.VecDense) {
	f := p.respond(p.film(theta, d.piece, p.media))
	_, s := d.miss(f.lab)
	moved := d.lower.times(byLight(spectrum.D65.XYZ(f.reflectance)))
	for i, j := range d.whiten(f.jacobian) {
		at := f.index[i]
		g.SetVec(at, g.AtVec(at)+trust(s)*dot(j, moved))
	}
}
