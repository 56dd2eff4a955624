package transport

import (
	"fmt"
	"math"
)

// Medium is a scattering substance under air: its refractive index and the way
// it scatters, with the directions in which light is followed.
type Medium struct {
	angles
	refractiveIndex float64
	mirror          []float64 // by direction, what the surface to air returns
	// scattersOn and scattersBack hold ½ h± w/μ: of the light that direction j
	// loses to scattering, what direction i gains a unit of depth, on the same
	// side (onwards) or the other.
	scattersOn, scattersBack matrix
	// turning is the share of scattering that is not straight on (delta-M).
	turning float64
}

// NewMedium returns the medium of a refractive index, 1..2, and an asymmetry g of
// Henyey and Greenstein's phase function, 0..0.95, in which light is followed in
// count directions on each side, an even number of 4..64. Ten give reflectance
// factors of wax good to about 1e-4, sixteen to 1e-5. Other values panic.
//
// The phase function is cut to as many Legendre moments as there are directions;
// the sharp forward peak that this leaves out counts as light not scattered:
//
//	χ'(k) = (g^k - g^M) / (1 - g^M),   s' = s (1 - g^M),   M = count
//
// Source: Wiscombe 1977 (delta-M).
func NewMedium(refractiveIndex, g float64, count int) *Medium {
	switch {
	case !(refractiveIndex >= 1 && refractiveIndex <= 2):
		panic(fmt.Sprintf("transport: a refractive index of %g; it must lie between 1 and 2", refractiveIndex))
	case !(g >= 0 && g <= 0.95):
		panic(fmt.Sprintf("transport: an asymmetry of %g; it must lie between 0 and 0.95", g))
	case count < 4 || count > 64 || count%2 != 0:
		panic(fmt.Sprintf("transport: %d directions; an even number from 4 to 64 is needed", count))
	}
	m := &Medium{angles: newAngles(refractiveIndex, count), refractiveIndex: refractiveIndex}
	for _, mu := range m.cos {
		m.mirror = append(m.mirror, mirrored(refractiveIndex, mu))
	}
	peak := math.Pow(g, float64(count))
	m.turning = 1 - peak
	m.scattersOn, m.scattersBack = newMatrix(len(m.cos)), newMatrix(len(m.cos))
	for i, out := range m.cos {
		gained := 0.0
		for j, in := range m.cos {
			on, back := 0.0, 0.0
			for k := range count {
				moment := (math.Pow(g, float64(k)) - peak) / m.turning
				term := float64(2*k+1) * moment * legendre(k, out) * legendre(k, in)
				on += term
				if k%2 == 0 {
					back += term
				} else {
					back -= term
				}
			}
			m.scattersOn.row(i)[j] = on / 2 * m.weight[j] / out
			m.scattersBack.row(i)[j] = back / 2 * m.weight[j] / out
			gained += (on + back) / 2 * m.weight[j]
		}
		// What scattering takes from one direction it gives to others, all of it;
		// what the sum over directions misses of that, about 1e-6, goes straight on.
		m.scattersOn.row(i)[i] += (1 - gained) / out
	}
	return m
}
