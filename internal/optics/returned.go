package optics

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// returned is the light that a liquid's surface returns to the card, F(τ) of
// LiquidLayer.Reflectance, by a table: the integral takes 48 exponentials, and a
// fit asks for it a million times.
//
// The table stands on even steps of √τ, in which F is smooth (over τ its second
// derivative has no bound at 0), and cubics that meet value and slope lie
// between. It agrees with the integral to 1e-8 in F.
type returned struct {
	rays  [2 * returnNodes]ray
	nodes [returnedSteps + 1]struct{ value, slope float64 } // slope over √τ
}

const (
	returnedSteps = 240
	returnedReach = 4.8 // √τ beyond which next to nothing comes back
	returnedStep  = returnedReach / returnedSteps
)

func newReturned(n float64) *returned {
	r := &returned{rays: returnedRays(n)}
	for i := range r.nodes {
		root := float64(i) * returnedStep
		value, slope := r.integral(root * root)
		r.nodes[i].value, r.nodes[i].slope = value, 2*root*slope
	}
	return r
}

// at returns F and F' at an optical depth.
func (r *returned) at(depth float64) (value, slope float64) {
	root := math.Sqrt(depth)
	cell := root / returnedStep
	switch {
	case cell < 1: // where F' over √τ is lost to rounding
		return r.integral(depth)
	case cell >= returnedSteps:
		return 0, 0
	}
	i := int(cell)
	t, a, b := cell-float64(i), r.nodes[i], r.nodes[i+1]
	rise, from, to := b.value-a.value, a.slope*returnedStep, b.slope*returnedStep
	// a + from t + (3 rise - 2 from - to) t² + (from + to - 2 rise) t³
	c2, c3 := 3*rise-2*from-to, from+to-2*rise
	value = a.value + t*(from+t*(c2+t*c3))
	slope = (from + t*(2*c2+3*t*c3)) / returnedStep / (2 * root)
	return value, slope
}

// integral returns F and F' by quadrature.
func (r *returned) integral(depth float64) (value, slope float64) {
	for _, ray := range r.rays {
		f := ray.share * math.Exp(-2*depth*ray.secant)
		value += f
		slope -= 2 * ray.secant * f
	}
	return value, slope
}

// ray is one direction in which the surface throws light back to the card.
type ray struct {
	share  float64 // of the diffuse light that leaves the card
	secant float64 // length of one pass, in layer thicknesses
}

// returnNodes is the number of Gauss-Legendre nodes on either side of the
// critical angle.
const returnNodes = 24

// returnedRays returns the nodes of the integral F. Below the critical angle it
// runs over the angle outside, where Fresnel's reflectance is smooth:
// sin θ cos θ dθ = sin φ cos φ dφ / n². Beyond it, where all is returned, it
// runs over μ = cos θ = μc s²: sin θ cos θ dθ = -μ dμ = -2 μc² s³ ds. The square
// crowds nodes where the long ways of grazing light die out.
func returnedRays(n float64) (rays [2 * returnNodes]ray) {
	x, w := make([]float64, returnNodes), make([]float64, returnNodes)

	quad.Legendre{}.FixedLocations(x, w, 0, math.Pi/2)
	for i, phi := range x {
		sin, cos := math.Sincos(phi)
		rays[i] = ray{w[i] * 2 * sin * cos * fresnel(n, cos) / (n * n), 1 / refractedCosine(n, cos)}
	}

	critical := refractedCosine(n, 0)
	if critical == 0 {
		return rays
	}
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	for i, s := range x {
		mu := critical * s * s
		rays[returnNodes+i] = ray{w[i] * 4 * critical * critical * s * s * s, 1 / mu}
	}
	return rays
}
