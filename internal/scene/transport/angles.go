package transport

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// angles are the directions of light inside the slab.
type angles struct {
	cos    []float64 // cosine from the normal, above 0
	weight []float64 // w, sums to 1
	// flux is 2 μ w: the share of diffuse light that each direction carries. It
	// sums to 1.
	flux []float64
	// oblique is the index of the direction that leaves into air at 45°. It has
	// no weight: it is looked along, and carries no light. normal is the index
	// of the direction along the normal.
	oblique, normal int
}

// grazing returns the cosine of the most grazing direction.
func (a angles) grazing() float64 { return slices.Min(a.cos) }

// newAngles places count directions, half of them where the surface returns all
// light (Gauss) and half where it lets light out, the normal included (Radau),
// and the oblique one after them. Without refraction all are Radau's.
// Source: Prahl, van Gemert and Welch 1993.
//
// Unlike theirs, the second half is spaced by the cosine m in air, not inside:
// in it Fresnel's equations have no root at the critical angle, and far fewer
// directions do. The weights follow from μ dμ = m dm / n².
func newAngles(refractiveIndex float64, count int) angles {
	critical := refractedCosine(refractiveIndex, 0)
	returned := 0
	if critical > 0 {
		returned = count / 2
	}
	cos, weight := make([]float64, count), make([]float64, count)
	if returned > 0 {
		quad.Legendre{}.FixedLocations(cos[:returned], weight[:returned], 0, critical)
	}
	radau(cos[returned:], weight[returned:], 0, 1)
	for i := returned; i < count; i++ {
		inAir := cos[i]
		cos[i] = refractedCosine(refractiveIndex, inAir)
		weight[i] *= inAir / (cos[i] * refractiveIndex * refractiveIndex)
	}

	a := angles{
		cos:     append(cos, refractedCosine(refractiveIndex, math.Sqrt(0.5))),
		weight:  append(weight, 0),
		oblique: count,
		normal:  count - 1,
	}
	a.flux = make([]float64, len(a.cos))
	for i, mu := range a.cos {
		a.flux[i] = 2 * mu * a.weight[i]
	}
	return a
}

// radau fills in the nodes and weights of Radau's quadrature from a to b, with b
// the last node; it is exact for polynomials of degree 2n-2. On -1..1, with the
// fixed node at -1,
//
//	P(n-1)(x) + P(n)(x) = 0,   w = (1 - x) / (n P(n-1)(x))²
//
// Source: Abramowitz and Stegun 1964, 25.4.31.
func radau(x, w []float64, a, b float64) {
	n := len(x)
	between, unused := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(between, unused, -1, 1)
	slices.Sort(between)
	half := (b - a) / 2
	for i := range n {
		// One root lies between any two neighbouring roots of P(n), and one at -1.
		root := -1.0
		if i > 0 {
			root = bisect(between[i-1], between[i], func(x float64) float64 {
				return legendre(n-1, x) + legendre(n, x)
			})
		}
		p := float64(n) * legendre(n-1, root)
		x[n-1-i] = b - half*(root+1)
		w[n-1-i] = half * (1 - root) / (p * p)
	}
}

// bisect returns the root of f between two places where its signs differ.
func bisect(low, high float64, f func(float64) float64) float64 {
	rising := f(high) > 0
	for range 60 {
		middle := (low + high) / 2
		if (f(middle) > 0) == rising {
			high = middle
		} else {
			low = middle
		}
	}
	return (low + high) / 2
}

// legendre returns Legendre's polynomial P(n)(x).
func legendre(n int, x float64) float64 {
	before, p := 0.0, 1.0
	for k := range n {
		before, p = p, (float64(2*k+1)*x*p-float64(k)*before)/float64(k+1)
	}
	return p
}
