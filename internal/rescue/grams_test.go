package rescue

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"setshade/internal/spectrum"
)

// The spread in grams against brute force: shades are drawn about the one reached, and
// for each the undyed wax is searched anew on a dense grid.
func TestUndyedSpreadIsThatOfDrawnShades(t *testing.T) {
	m := harrow(t)
	half, err := Lighter(50)
	require.NoError(t, err)
	a, err := Mend(m, Request{Batch: overDyed(), Target: half, View: thick})
	require.NoError(t, err)
	a.Reached.Cov = [3][3]float64{{0.09, 0.01, 0.02}, {0.01, 0.04, 0}, {0.02, 0, 0.06}}
	spread, err := UndyedSpreadG(m, a, thick)
	require.NoError(t, err)

	const grid, fromG, toG = 4000, -0.3, 0.3 // shares of the undyed wax
	var massG []float64
	var shades []spectrum.Lab
	for i := range grid {
		x := (fromG + (toG-fromG)*float64(i)/grid) * a.After.UndyedG
		lab, err := m.Lab(a.After.Recipe.Scaled(a.After.UndyedG/(a.After.UndyedG+x)), thick)
		require.NoError(t, err)
		massG, shades = append(massG, x), append(shades, lab)
	}
	var chol mat.Cholesky
	require.True(t, chol.Factorize(spectrum.Symmetric(a.Reached.Cov)))
	var lower mat.TriDense
	chol.LTo(&lower)
	random := rand.New(rand.NewPCG(1, 2))
	var needed []float64
	for range 400 {
		var off mat.VecDense
		off.MulVec(&lower, mat.NewVecDense(3, []float64{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}))
		best, least := 0.0, math.Inf(1)
		for i, s := range shades {
			s.L, s.A, s.B = s.L+off.AtVec(0), s.A+off.AtVec(1), s.B+off.AtVec(2)
			if d := spectrum.DE00(s, a.Wanted); d < least {
				best, least = massG[i], d
			}
		}
		needed = append(needed, best)
	}
	t.Logf("%.1f g of undyed wax: spread %.2f g, of drawn shades %.2f g", a.AddUndyedG, spread, stat.StdDev(needed, nil))
	// 400 draws tell a standard deviation to 3.5 %; three times that.
	assert.InEpsilon(t, stat.StdDev(needed, nil), spread, 0.105)

	a.AddUndyedG = 0
	none, err := UndyedSpreadG(m, a, thick)
	require.NoError(t, err)
	assert.Zero(t, none)
}
