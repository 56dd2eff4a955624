package wax

import "math"

// MaxDropG bounds the mass of a drop; drops weigh some tenths of a gram.
const MaxDropG = 50.0

// capillaryMM is the height over which a molten drop rises from its rim before its
// weight holds it flat, √(γ / ρ g): 1.8 mm for a surface tension γ near 28 mN/m
// (molten paraffin, from memory), a density of 0.9 g/ml and gravity g.
const capillaryMM = 1.8

// DropThicknessMM estimates how thick a drop of this wax is in its middle, where its
// colour is read, from its mass in g and the diameter of its outline in mm: its mean
// thickness
//
//	mass / (density · π a²)
//
// with a the radius, times how much higher the middle stands than the mean. A small
// drop is a cap, whose middle is twice its mean (V = π h (3a² + h²) / 6 of a
// spherical cap of height h much below a); a wide one lies flat. Between them stands
// the drop whose surface tension just carries its weight, for small slopes (de
// Gennes, Brochard-Wyart and Quéré 2004, "Capillarity and Wetting Phenomena",
// chapter 2):
//
//	h(r) ∝ I₀(a/κ) - I₀(r/κ)
//
// with κ the capillary length and I₀ the modified Bessel function. It is good to
// some 15 %: the drop sets, shrinks and keeps no exact shape. 0 when mass, diameter
// or density is not known, or cannot be.
func (w Wax) DropThicknessMM(massG, diameterMM float64) float64 {
	if !(massG > 0 && massG <= MaxDropG && diameterMM >= 0.1 && diameterMM <= 1000 && w.DensityGPerML >= 0.1 && w.DensityGPerML <= 10) {
		return 0
	}
	a := diameterMM / 2
	mean := 1000 * massG / w.DensityGPerML / (math.Pi * a * a)
	return mean * middleOverMean(a/capillaryMM)
}

// middleOverMean is the height of a drop's middle over its mean, by its radius in
// capillary lengths:
//
//	(I₀(x) - 1) / (I₀(x) - 2 I₁(x)/x)
//
// by the power series of both (DLMF 10.25.2). A drop of a hundred capillary lengths is
// flat to 2 %, and wider ones count as this.
func middleOverMean(x float64) float64 {
	quarter := math.Pow(min(x, 100), 2) / 4
	middle, mean, term := 0.0, 0.0, 1.0 // term is (x²/4)^k / k!²
	for k := 1.0; k < 1000; k++ {
		term *= quarter / (k * k)
		middle += term
		mean += term * k / (k + 1)
		if term < 1e-17*middle {
			break
		}
	}
	if middle == 0 {
		return 2 // a point
	}
	return middle / mean
}
