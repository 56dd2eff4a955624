package shelftest

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/optics"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Card is the colour of the white card under all drops.
var Card = spectrum.Lab{L: 95.5}

// Bump is a band of absorption of height 1 at a wavelength; width is the standard
// deviation of a normal distribution, both nm.
func Bump(nm, at, width float64) float64 {
	x := (nm - at) / width
	return math.Exp(-x * x / 2)
}

// Drop is a set drop of wax of so much K/S on Card, hiding it but for S·X of 12.
func Drop(ks spectrum.Spectrum, recipe wax.Recipe) calibrate.Sample {
	surface := optics.SurfaceOf(1.44)
	seen := ks.Map(func(v float64) float64 { return surface.Outside(optics.Film(v, 12, 0.89)) })
	return calibrate.Sample{Recipe: recipe, Colour: spectrum.Measured{Lab: spectrum.D65.Lab(seen)}, Card: Card}
}

// Learn learns Harrow Soy from drops.
func Learn(t testing.TB, drops []calibrate.Sample) *calibrate.Model {
	t.Helper()
	m, err := calibrate.Learn(wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9}, drops)
	require.NoError(t, err)
	return m
}
