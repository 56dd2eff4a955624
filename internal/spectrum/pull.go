package spectrum

// Pull00 returns the gradient of dE00²/2 in the colour at, for a search towards
// a target: central differences with a step of 1e-4, since CIEDE2000 has no
// derivative worth writing out.
func Pull00(target, at Lab) [3]float64 {
	const h = 1e-4
	var pull [3]float64
	for c := range pull {
		up, down := at.Vector(), at.Vector()
		up[c] += h
		down[c] -= h
		u, d := DE00(target, LabOf(up)), DE00(target, LabOf(down))
		pull[c] = (u*u - d*d) / (4 * h)
	}
	return pull
}
