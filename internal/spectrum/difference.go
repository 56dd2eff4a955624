package spectrum

import "math"

// hueTie is the margin, in degrees, within which two hues count as exactly
// opposite, a tie across which CIEDE2000 leaps. float64 rounds a tie to either
// side: without the margin one tie in six comes out wrong, and whether the
// published ties, pairs 10 and 14 (Sharma, Wu and Dalal 2005, table 1), do
// depends on how the formula is written.
const hueTie = 1e-9

// DE00 returns the CIEDE2000 colour difference (ISO/CIE 11664-6) with
// kL = kC = kH = 1. It is symmetric, zero for equal colours, and finite for
// colours whose coordinates lie within ±1e40.
//
// Equation numbers are those of Sharma, Wu and Dalal 2005, "The CIEDE2000
// color-difference formula: implementation notes", Color Res. Appl. 30(1).
func DE00(x, y Lab) float64 {
	l, c, h, sl, sc, sh, rt := difference00(x, y)
	l, c, h = l/sl, c/sc, h/sh
	return math.Sqrt(max(0, l*l+c*c+h*h+rt*c*h)) // (22)
}

// difference00 returns ΔL', ΔC', ΔH' and the weights SL, SC, SH, RT.
func difference00(x, y Lab) (dL, dC, dH, sl, sc, sh, rt float64) {
	meanC := (x.Chroma() + y.Chroma()) / 2            // (3)
	g := 0.5 * (1 - math.Sqrt(seventhPower25(meanC))) // (4)
	x.A, y.A = x.A*(1+g), y.A*(1+g)                   // (5)
	c1, c2 := x.Chroma(), y.Chroma()                  // (6)
	h1, h2 := x.HueDegrees(), y.HueDegrees()          // (7)
	achromatic := c1*c2 == 0

	dL = y.L - x.L // (8)
	dC = c2 - c1   // (9)
	dh := h2 - h1  // (10)
	switch {
	case achromatic:
		dh = 0
	case dh > 180+hueTie:
		dh -= 360
	case dh < -180-hueTie:
		dh += 360
	}
	dH = 2 * math.Sqrt(c1*c2) * sinDegrees(dh/2) // (11)

	meanL := (x.L + y.L) / 2 // (12)
	meanC1 := (c1 + c2) / 2  // (13)
	meanH := (h1 + h2) / 2   // (14)
	switch {
	case achromatic:
		meanH = h1 + h2
	case math.Abs(h1-h2) <= 180+hueTie:
	case h1+h2 < 360:
		meanH += 180
	default:
		meanH -= 180
	}
	t := 1 - 0.17*cosDegrees(meanH-30) + 0.24*cosDegrees(2*meanH) +
		0.32*cosDegrees(3*meanH+6) - 0.20*cosDegrees(4*meanH-63) // (15)
	turn := (meanH - 275) / 25
	dTheta := 30 * math.Exp(-turn*turn)         // (16)
	rc := 2 * math.Sqrt(seventhPower25(meanC1)) // (17)
	l50 := (meanL - 50) * (meanL - 50)
	sl = 1 + 0.015*l50/math.Sqrt(20+l50) // (18)
	sc = 1 + 0.045*meanC1                // (19)
	sh = 1 + 0.015*meanC1*t              // (20)
	rt = -sinDegrees(2*dTheta) * rc      // (21)
	return dL, dC, dH, sl, sc, sh, rt
}

// seventhPower25 returns C⁷ / (C⁷ + 25⁷).
func seventhPower25(c float64) float64 {
	c7 := math.Pow(c, 7)
	return c7 / (c7 + 6103515625)
}

func sinDegrees(d float64) float64 { return math.Sin(d * math.Pi / 180) }
func cosDegrees(d float64) float64 { return math.Cos(d * math.Pi / 180) }

// Metric00 returns the symmetric matrix M for which small steps d = (ΔL*, Δa*,
// Δb*) away from the colour measure
//
//	dE00² ≈ dᵀ M d
//
// It is the local form of CIEDE2000, used to weigh residuals and to turn a
// covariance in Lab into one in dE00. It is finite everywhere, grey included.
// Its relative error grows with the step: for a step of length 1 in Lab it is
// 0.4 % in the middle of cases and below 4 % always, worst near grey.
func (c Lab) Metric00() [3][3]float64 {
	chroma := c.Chroma()
	g := 0.5 * (1 - math.Sqrt(seventhPower25(chroma)))
	_, _, _, sl, sc, sh, rt := difference00(c, c)
	// Direction of chroma and hue in the stretched plane a' = (1+G) a. Both ends
	// of a difference share one G, so that it does not change along the step.
	a := c.A * (1 + g)
	cos, sin := 1.0, 0.0
	if c1 := math.Hypot(a, c.B); c1 > 0 {
		cos, sin = a/c1, c.B/c1
	}
	// dC' = cos·da' + sin·db, dH' = -sin·da' + cos·db
	rows := [2][2]float64{{cos * (1 + g) / sc, sin / sc}, {-sin * (1 + g) / sh, cos / sh}}
	var m [3][3]float64
	m[0][0] = 1 / (sl * sl)
	for i := range 2 {
		for j := range 2 {
			m[i+1][j+1] = rows[0][i]*rows[0][j] + rows[1][i]*rows[1][j] +
				rt/2*(rows[0][i]*rows[1][j]+rows[1][i]*rows[0][j])
		}
	}
	return m
}
