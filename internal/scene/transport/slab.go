package transport

import (
	"fmt"
	"math"
)

// Layer is an even slab of a medium.
type Layer struct {
	// ScatteringPerMM and AbsorptionPerMM are the coefficients s and a of the
	// medium (natural logarithm), 0 or more.
	ScatteringPerMM, AbsorptionPerMM float64
	// ThicknessMM is 0 or more.
	ThicknessMM float64
}

func (l Layer) check() {
	if !(l.ScatteringPerMM >= 0 && l.AbsorptionPerMM >= 0 && l.ThicknessMM >= 0) ||
		math.IsInf(l.ScatteringPerMM+l.AbsorptionPerMM+l.ThicknessMM, 1) {
		panic(fmt.Sprintf("transport: the layer %+v; its values must be finite and not negative", l))
	}
}

// slab is what a layer without surfaces reflects and transmits.
type slab struct{ reflect, transmit matrix }

// finest is the optical depth, along the most grazing direction, at which
// doubling begins. The error of the beginning falls with its fourth power.
const finest = 0.4

// doublings returns how often a beginning must double to become the layer.
func (m *Medium) doublings(l Layer) int {
	depth := (l.AbsorptionPerMM + m.turning*l.ScatteringPerMM) * l.ThicknessMM / m.grazing()
	if depth <= finest {
		return 0
	}
	return int(math.Ceil(math.Log2(depth / finest)))
}

// begin returns a thin slab. With I± the light down and up and x the depth, the
// transfer equation is
//
//	d/dx (I+ - I-) = -E (I+ + I-),   d/dx (I+ + I-) = -F (I+ - I-)
//	E = (a + s')/μ - s' ½ (h+ + h-) w/μ,   F = (a + s')/μ - s' ½ (h+ - h-) w/μ
//
// Across the thickness d its solution is taken as Padé's approximation (2, 2) to
// the exponential. Lit alike from both sides it returns P, lit in opposition Q:
//
//	P = 2 (I + d²/12 E F + d/2 E)⁻¹ (I + d²/12 E F) - I,   R + T = P
//	Q = I - 2 (I + d²/12 F E + d/2 F)⁻¹ (I + d²/12 F E),   R - T = Q
//
// Without the terms in d²/12 this is diamond initialization (Wiscombe 1976);
// like it, it loses no light where nothing is absorbed. Padé: Moler and Van Loan
// 2003, "Nineteen dubious ways to compute the exponential of a matrix", SIAM
// Rev. 45:3.
func (m *Medium) begin(l Layer) slab {
	n := len(m.cos)
	scattering := m.turning * l.ScatteringPerMM
	e, f := newMatrix(n), newMatrix(n)
	for i := range n {
		on, back := m.scattersOn.row(i), m.scattersBack.row(i)
		for j := range n {
			e.row(i)[j] = -scattering * (on[j] + back[j])
			f.row(i)[j] = -scattering * (on[j] - back[j])
		}
		loss := (l.AbsorptionPerMM + scattering) / m.cos[i]
		e.row(i)[i] += loss
		f.row(i)[i] += loss
	}
	alike, opposed := kept(e, f, l.ThicknessMM), kept(f, e, l.ThicknessMM)
	s := slab{newMatrix(n), newMatrix(n)}
	for i, v := range alike.v {
		s.reflect.v[i] = v - opposed.v[i]
		s.transmit.v[i] = v + opposed.v[i]
	}
	for i := range n {
		s.transmit.row(i)[i]--
	}
	return s
}

// kept returns (I + d²/12 A B + d/2 A)⁻¹ (I + d²/12 A B).
func kept(a, b matrix, d float64) matrix {
	out, left := newMatrix(a.n), newMatrix(a.n)
	out.setTimes(a, b)
	for i := range out.n {
		for j := range out.row(i) {
			out.row(i)[j] *= d * d / 12
		}
		out.row(i)[i]++
	}
	for i, v := range out.v {
		left.v[i] = v + d/2*a.v[i]
	}
	left.solve(out.v, out.n)
	return out
}

func identity(n int) matrix {
	m := newMatrix(n)
	for i := range n {
		m.row(i)[i] = 1
	}
	return m
}

// desk holds the working matrices of a doubling, to use them again.
type desk struct{ once, inner, turned matrix }

func newDesk(n int) desk { return desk{newMatrix(n), newMatrix(n), newMatrix(n)} }

// double turns the slab into two of it, one on the other:
//
//	X = (I - R R)⁻¹ T,   R' = R + T R X,   T' = T X
//
// Sources: van de Hulst 1980; Prahl, van Gemert and Welch 1993.
func (s slab) double(d desk) {
	n := s.reflect.n
	d.once.setTimes(s.reflect, s.reflect)
	for i, v := range d.once.v {
		d.once.v[i] = -v
	}
	for i := range n {
		d.once.row(i)[i]++
	}
	copy(d.inner.v, s.transmit.v)
	d.once.solve(d.inner.v, n) // X

	d.turned.setTimes(s.reflect, d.inner)
	d.once.setTimes(s.transmit, d.turned)
	for i, v := range d.once.v {
		s.reflect.v[i] += v
	}
	d.turned.setTimes(s.transmit, d.inner)
	copy(s.transmit.v, d.turned.v)
}
