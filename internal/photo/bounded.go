package photo

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// bounded is a number of which only two bounds are seen, and what is thought of it:
//
//	guess + Σ θ_a term_a
type bounded struct {
	low, high, guess float64
	terms            []float64
}

// at is the number by the given θ.
func (o *bounded) at(theta []float64) float64 {
	m := o.guess
	for a, t := range o.terms {
		m += t * theta[a]
	}
	return m
}

// fitBounded finds the θ under which numbers seen within bounds are the most
// probable, and its covariance:
//
//	max  Σ ln[Φ((high - m)/s) - Φ((low - m)/s)]  -  Σ θ_a² / (2 prior_a²)
//
// where m is the number by θ, s (> 0) the standard deviation of what blurs the
// bounds, and prior that of each θ before anything is seen, which holds what the
// bounds leave open. This is regression of grouped data (Stewart 1983, "On least
// squares estimation when the dependent variable is grouped", Rev. Econ. Stud. 50(4);
// cited from memory). The sum is concave, so that Newton's steps, halved when they go
// too far, lead to the one maximum; the covariance is the inverse of its curvature.
func fitBounded(seen []bounded, s float64, prior []float64) (theta []float64, covariance *mat.SymDense) {
	n := len(prior)
	theta = make([]float64, n)
	covariance = mat.NewSymDense(n, nil)
	value, slope, curve := likelihood(seen, s, prior, theta)
	const rounds, enough, shortest = 20, 1e-5, 1.0 / 64
	for range rounds {
		var factor mat.Cholesky
		var move mat.VecDense
		if !factor.Factorize(curve) || factor.SolveVecTo(&move, mat.NewVecDense(n, slope)) != nil {
			break
		}
		gain := 0.0
		for share := 1.0; share > shortest; share /= 2 {
			next := make([]float64, n)
			for a := range next {
				next[a] = theta[a] + share*move.AtVec(a)
			}
			if v, g, c := likelihood(seen, s, prior, next); v > value {
				gain = v - value
				theta, value, slope, curve = next, v, g, c
				break
			}
		}
		if gain < enough {
			break
		}
	}
	var factor mat.Cholesky
	if factor.Factorize(curve) {
		_ = factor.InverseTo(covariance) // a warning of its condition at most
	}
	return theta, covariance
}

// likelihood is the sum that fitBounded makes largest, with its slope and the
// negative of its second derivatives.
func likelihood(seen []bounded, s float64, prior, theta []float64) (value float64, slope []float64, curve *mat.SymDense) {
	n := len(prior)
	slope = make([]float64, n)
	upper := make([]float64, n*n)
	for a, p := range prior {
		value -= theta[a] * theta[a] / (2 * p * p)
		slope[a] = -theta[a] / (p * p)
		upper[a*n+a] = 1 / (p * p)
	}
	for i := range seen {
		o := &seen[i]
		m := o.at(theta)
		l, g, c := logWithin((o.low-m)/s, (o.high-m)/s)
		value, g, c = value+l, g/s, c/(s*s)
		for a, t := range o.terms {
			slope[a] += g * t
			for b := a; b < n; b++ {
				upper[a*n+b] += c * t * o.terms[b]
			}
		}
	}
	return value, slope, mat.NewSymDense(n, upper)
}

// logWithin is ln[Φ(b) - Φ(a)] for a < b, with the slope and the negative of the
// curvature when both are shifted down alike. Far off the bounds it is that of the
// nearer one's tail,
//
//	ln Φ(-a) ≈ -a²/2 - ln(a √2π)
//
// (Abramowitz and Stegun 1964, 26.2.12).
func logWithin(a, b float64) (value, slope, curve float64) {
	const far = 6
	if a > far {
		return -a*a/2 - math.Log(a*math.Sqrt(2*math.Pi)), a + 1/a, 1 - 1/(a*a)
	}
	if b < -far {
		value, slope, curve = logWithin(-b, -a)
		return value, -slope, curve
	}
	density := func(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
	tail := func(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }
	var inside float64
	if a > 0 {
		inside = tail(a) - tail(b)
	} else {
		inside = tail(-b) - tail(-a)
	}
	slope = (density(a) - density(b)) / inside
	return math.Log(inside), slope, slope*slope - (a*density(a)-b*density(b))/inside
}
