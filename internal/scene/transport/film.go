package transport

import "math"

// Film is what a layer with a surface to air does to a card in optical contact
// below it, for light that falls in along the normal. Whatever the card, what
// comes back is
//
//	black + card · through / (1 - card · back)
//
// where card is the diffuse reflectance, 0..1, of a Lambertian card. Light that
// the surface mirrors at once counts in Reflectance, and not in Factor.
type Film struct {
	// Black is the reflectance factor over black; Through what a card adds to
	// it, for one passage down and up; Back the share of a card's light that the
	// film throws back to the card.
	Black, Through, Back float64
	// TotalBlack and TotalThrough are the same for the light in all directions.
	TotalBlack, TotalThrough float64
}

// Factor returns the reflectance factor over the card: the light seen, relative
// to a perfect diffuser, when one of source and eye is on the normal and the
// other at 45°, the mirrored light left out. Which is which makes no difference
// (Helmholtz).
func (f Film) Factor(card float64) float64 {
	return f.Black + card*f.Through/(1-card*f.Back)
}

// Reflectance returns the share of light along the normal that comes back in any
// direction, the mirrored light included.
func (f Film) Reflectance(card float64) float64 {
	return f.TotalBlack + card*f.TotalThrough/(1-card*f.Back)
}

// Film returns the film of a layer. A layer of negative or infinite values
// panics.
func (m *Medium) Film(l Layer) Film { return m.Films(l, 1)[0] }

// Films returns the films of the layer and of its half, its quarter and so on,
// count in all, for little more than the cost of one.
func (m *Medium) Films(l Layer, count int) []Film {
	l.check()
	if l.ScatteringPerMM == 0 {
		return m.clearFilms(l, count)
	}
	steps := max(m.doublings(l), count-1)
	l.ThicknessMM /= float64(uint64(1) << steps)
	s, d := m.begin(l), newDesk(len(m.cos))
	films := make([]Film, count)
	for step := 0; ; step++ {
		if left := steps - step; left < count {
			films[left] = m.film(s)
		}
		if step == steps {
			return films
		}
		s.double(d)
	}
}

// clearFilms is Films without scattering, where light only fades:
//
//	T = exp(-a d / μ),   R = 0
func (m *Medium) clearFilms(l Layer, count int) []Film {
	n := len(m.cos)
	films := make([]Film, count)
	for i := range films {
		s := slab{newMatrix(n), newMatrix(n)}
		for j, mu := range m.cos {
			s.transmit.row(j)[j] = math.Exp(-l.AbsorptionPerMM * l.ThicknessMM / mu)
		}
		films[i] = m.film(s)
		l.ThicknessMM /= 2
	}
	return films
}

// opaque is the transmittance at which a layer counts as endless, and
// mostDoublings bounds the way there: without absorption it falls only as the
// inverse of the thickness.
const (
	opaque        = 1e-7
	mostDoublings = 60
)

// Endless returns the film of a layer so thick that no card shows, and that no
// light leaves below. A scattering of 0 panics.
func (m *Medium) Endless(scatteringPerMM, absorptionPerMM float64) Film {
	l := Layer{ScatteringPerMM: scatteringPerMM, AbsorptionPerMM: absorptionPerMM}
	l.check()
	if scatteringPerMM == 0 {
		panic("transport: without scattering no light comes back from an endless layer")
	}
	l.ThicknessMM = finest * m.grazing() / (absorptionPerMM + m.turning*scatteringPerMM)
	s, d := m.begin(l), newDesk(len(m.cos))
	for range mostDoublings {
		s.double(d)
		if m.lambertian(s.transmit) < opaque {
			break
		}
	}
	return m.film(s)
}

// lambertian returns the share of diffuse light that the matrix passes on.
func (m *Medium) lambertian(response matrix) float64 {
	sum := 0.0
	for i, f := range m.flux {
		sum += f * dot(response.row(i), m.ones())
	}
	return sum
}

func (m *Medium) ones() []float64 {
	v := make([]float64, len(m.cos))
	for i := range v {
		v[i] = 1
	}
	return v
}

// film lays the surface on the slab. Light along the normal, unit flux, goes
// down; diffuse light, unit flux, comes up from below; both go on between
// surface and slab until the light upwards is
//
//	U = (I - R r)⁻¹ (light from the slab)
//
// with r the mirroring of the surface. The step in refractive index spreads the
// light that leaves over n² times the solid angle.
func (m *Medium) film(s slab) Film {
	n := len(m.cos)
	diffuse := m.ones()
	entering := make([]float64, n)
	entering[m.normal] = (1 - m.mirror[m.normal]) / m.flux[m.normal]

	// Two right sides at once: from above, from below.
	up := make([]float64, 2*n)
	fromAbove, fromBelow := s.reflect.times(entering), s.transmit.times(diffuse)
	for i := range n {
		up[2*i], up[2*i+1] = fromAbove[i], fromBelow[i]
	}
	m.betweenSurfaceAnd(s.reflect).solve(up, 2)

	var f Film
	down, returned := make([]float64, n), make([]float64, n)
	out := [2]float64{}
	for i := range n {
		down[i] = entering[i] + m.mirror[i]*up[2*i]
		returned[i] = m.mirror[i] * up[2*i+1]
		for c := range out {
			out[c] += m.flux[i] * (1 - m.mirror[i]) * up[2*i+c]
		}
	}
	onCard := dot(m.flux, s.transmit.times(down))
	f.Back = dot(m.flux, s.reflect.times(diffuse)) + dot(m.flux, s.transmit.times(returned))

	seen := (1 - m.mirror[m.oblique]) / (m.refractiveIndex * m.refractiveIndex)
	f.Black = seen * up[2*m.oblique]
	f.Through = seen * up[2*m.oblique+1] * onCard
	f.TotalBlack = m.mirror[m.normal] + out[0]
	f.TotalThrough = out[1] * onCard
	return f
}

// betweenSurfaceAnd returns I - R r for the light between a surface and what
// reflects below it.
func (m *Medium) betweenSurfaceAnd(reflect matrix) matrix {
	out := identity(reflect.n)
	for i := range reflect.n {
		for j, r := range reflect.row(i) {
			out.row(i)[j] -= r * m.mirror[j]
		}
	}
	return out
}
