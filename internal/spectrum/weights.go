package spectrum

// weights holds, for each illuminant and band, the weights of X, Y and Z.
var weights = [illuminants][Bands][3]float64{
	D65:   weightsOf(&relativePowerD65),
	A:     weightsOf(&relativePowerA),
	LEDB3: weightsOf(&relativePowerLEDB3),
	D50:   weightsOf(&relativePowerD50),
}

// weightsOf builds the 10 nm weighting table of an illuminant after ASTM E2022:
// the 5 nm products of illuminant and observer are shared out over the grid by
// the Lagrange coefficients that would interpolate the reflectance factor
// there (cubic inside, quadratic in the first and last interval); beyond
// 730 nm the last reflectance factor is held, as ASTM E308 sec. 7.3.2.2 does.
// Normalised so that the perfect diffuser has Y = 1.
func weightsOf(power *[fineBands]float64) [Bands][3]float64 {
	var table [Bands][3]float64
	sumY := 0.0
	for fine := range fineBands {
		sumY += power[fine] * observer1931[fine][1]
		for _, share := range interpolation(fine) {
			for c := range 3 {
				table[share.band][c] += share.coefficient * power[fine] * observer1931[fine][c]
			}
		}
	}
	for i := range table {
		for c := range 3 {
			table[i][c] /= sumY
		}
	}
	return table
}

type share struct {
	band        int
	coefficient float64
}

// interpolation gives the Lagrange coefficients of the grid's bands for the
// 5 nm sample with the given index.
func interpolation(fine int) []share {
	band := fine / 2
	switch {
	case band >= Bands-1:
		return []share{{Bands - 1, 1}}
	case fine%2 == 0:
		return []share{{band, 1}}
	case band == 0:
		return []share{{0, 0.375}, {1, 0.75}, {2, -0.125}}
	case band == Bands-2:
		return []share{{band - 1, -0.125}, {band, 0.75}, {band + 1, 0.375}}
	default:
		return []share{{band - 1, -0.0625}, {band, 0.5625}, {band + 1, 0.5625}, {band + 2, -0.0625}}
	}
}
