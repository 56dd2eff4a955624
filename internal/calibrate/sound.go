package calibrate

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// ErrNoColour is wrapped by errors about a recipe of which a model tells no finite
// colour. No sensible set of drops leads to such a model.
var ErrNoColour = errors.New("what was learned tells no colour of this; record more drops and learn again")

// Bounds that no unknown of a learned model comes near. Within them every colour
// is finite: see level.
const (
	farLevel = 100.0 // of the logs of absorption, scattering and thickness
	farGain  = 1.0   // of the log of the light's gain
	farPower = 3.0   // of the bend, and of an exponent, which is above 0
	farSlope = 20.0  // of scattering over log wavelength
	farNoise = 1000.0
	// farVariance bounds the variances of unknowns; those of the prior are at most 9.
	farVariance = 1e12
)

// asked reports what cannot be asked: a dose that is not above 0, a card without a
// colour.
func asked(recipe wax.Recipe, view View) error {
	for _, p := range recipe {
		if !(p.DoseGPerKg > 0 && p.DoseGPerKg <= math.MaxFloat64) {
			return fmt.Errorf("the dose of %s is %g g/kg; it must be above 0", p.Dye, p.DoseGPerKg)
		}
	}
	if !view.Thick && !view.Card.IsPlausible() {
		return fmt.Errorf("the card's colour L* %g a* %g b* %g cannot be", view.Card.L, view.Card.A, view.Card.B)
	}
	return nil
}

// sound reports a prediction of a colour that can be, with variances that are not
// negative and within bounds.
func (p Prediction) sound() bool {
	for i, row := range p.Cov {
		if !(row[i] >= 0) {
			return false
		}
		for _, v := range row {
			if !(math.Abs(v) <= spectrum.MostVariance/3) {
				return false
			}
		}
	}
	return p.Lab.IsPlausible()
}

// sound says the first thing of a model that no drops lead to, or nothing.
func (m *Model) sound() error {
	if !(m.Smoothness > 0 && m.Smoothness <= math.MaxFloat64) || !(m.NoiseDE00 > 0 && m.NoiseDE00 <= farNoise) {
		return errors.New("its weights cannot be")
	}
	if m.KnowsLiquid() && !(m.LiquidNoiseDE00 > 0 && m.LiquidNoiseDE00 <= farNoise) {
		return errors.New("its weight of liquid drops cannot be")
	}
	if !m.usualCard.IsPlausible() {
		return errors.New("its card has no colour")
	}
	if err := m.soundDyes(); err != nil {
		return err
	}
	for _, theta := range append([][]float64{m.theta}, m.ensemble...) {
		if err := m.layout.sound(theta); err != nil {
			return err
		}
	}
	return soundCovariance(m.covariance)
}

func (m *Model) soundDyes() error {
	for d, dye := range m.Dyes {
		hub := m.layout.hubs[d]
		switch {
		case dye.Name == "" || dyeAt(m.Dyes, dye.Name) != d:
			return fmt.Errorf("dye %d has no name of its own", d+1)
		case !(dye.ReferenceGPerKg > 0 && dye.ReferenceGPerKg <= wax.MaxDoseGPerKg*(1+1e-9)), // a mean, rounded
			!(dye.MinGPerKg > 0 && dye.MinGPerKg <= dye.MaxGPerKg && dye.MaxGPerKg <= wax.MaxDoseGPerKg):
			return fmt.Errorf("the doses of %s cannot be", dye.Name)
		case dye.Drops < 0 || dye.LiquidDrops < 0:
			return fmt.Errorf("%s has %d drops", dye.Name, min(dye.Drops, dye.LiquidDrops))
		case hub == d || hub >= 0 && (m.layout.hubs[hub] >= 0 || m.Dyes[hub].Scatters != dye.Scatters):
			return fmt.Errorf("%s is no lot of %s", dye.Name, dye.LotOf)
		}
	}
	return nil
}

// sound reports an unknown out of all bounds.
func (l layout) sound(theta []float64) error {
	far := make([]float64, l.size)
	for i := range far {
		far[i] = farLevel
	}
	far[logGain], far[hidingSlope], far[bend] = farGain, farSlope, farPower
	if l.liquid() {
		far[l.liquidGain] = farGain
	}
	var powers []int
	for _, d := range l.dyes {
		powers = append(powers, d.at+exponent)
		if d.scatter != absent {
			far[d.scatter+scatterSlope] = farSlope
		}
	}
	for i, v := range theta {
		if !(math.Abs(v) <= far[i]) {
			return fmt.Errorf("its unknown %d is %g", i+1, v)
		}
	}
	for _, i := range powers {
		if !(theta[i] > 0 && theta[i] <= farPower) {
			return fmt.Errorf("its exponent %d is %g", i+1, theta[i])
		}
	}
	return nil
}

// soundCovariance reports variances that cannot be, and covariances larger than
// their variances allow.
func soundCovariance(cov *mat.SymDense) error {
	n := cov.SymmetricDim()
	root := make([]float64, n)
	for i := range n {
		v := cov.At(i, i)
		if !(v >= 0 && v <= farVariance) {
			return fmt.Errorf("the variance of its unknown %d is %g", i+1, v)
		}
		root[i] = math.Sqrt(v)
	}
	for r := range n {
		for c := r + 1; c < n; c++ {
			if !(math.Abs(cov.At(r, c)) <= root[r]*root[c]*(1+1e-6)) {
				return fmt.Errorf("the covariance of its unknowns %d and %d is %g", r+1, c+1, cov.At(r, c))
			}
		}
	}
	return nil
}
