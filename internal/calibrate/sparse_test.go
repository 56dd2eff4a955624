package calibrate

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"setshade/internal/wax"
)

// A shelf of dyes in a ring of mixtures, of a chain and alone, on two cards.
func coupledShelf(t *testing.T) (problem, []float64) {
	t.Helper()
	random := rand.New(rand.NewPCG(8, 9))
	truth := shelf("A", "B", "C", "D", "E", "F", "G")
	var samples []Sample
	for i, names := range []string{"", "A", "B", "C", "D", "E", "F", "G", "AB", "BC", "AC", "CD", "EF"} {
		var recipe wax.Recipe
		for _, name := range names {
			recipe = append(recipe, wax.Part{Dye: string(name), DoseGPerKg: 0.5})
		}
		s := truth.measure(int64(i), recipe, 0.1, random)
		s.CardID = []string{"one", "two"}[i%2]
		samples = append(samples, s)
	}
	l := layoutOf(samples, rangesOf(samples, known{}))
	p := newProblem(samples, l, mediaOf(1.44), usual)
	return p, p.prior.mean
}

// Against gonum's dense matrices.
func TestSparseIsTheDenseMatrix(t *testing.T) {
	p, theta := coupledShelf(t)
	_, h := p.normal(theta)
	n := len(theta)
	full := mat.NewSymDense(n, nil)
	for r := range n {
		for c := r; c < n; c++ {
			if k := p.order; k.home[r] == k.home[c] || coupledIn(k, r, c) {
				full.SetSym(r, c, *h.at(r, c))
			}
		}
	}
	assert.InEpsilon(t, mat.Norm(full, 1), h.norm(), 1e-12)
	var chol mat.Cholesky
	require.True(t, chol.Factorize(full))
	require.True(t, h.factorize())
	assert.InEpsilon(t, chol.LogDet(), h.logDet(), 1e-12)

	random := rand.New(rand.NewPCG(1, 1))
	v := make([]float64, n)
	for i := range v {
		v[i] = random.NormFloat64()
	}
	var x mat.VecDense
	require.NoError(t, chol.SolveVecTo(&x, mat.NewVecDense(n, slices.Clone(v))))
	h.solve(v)
	assert.InDeltaSlice(t, x.RawVector().Data, v, 1e-9)

	var inverse mat.SymDense
	require.NoError(t, chol.InverseTo(&inverse))
	assert.True(t, mat.EqualApprox(&inverse, h.inverse(), 1e-9))
}

// coupledIn reports whether two unknowns of different blocks share a panel.
func coupledIn(e *elimination, a, b int) bool {
	first := min(e.home[a], e.home[b])
	other := max(e.home[a], e.home[b])
	return slices.ContainsFunc(e.panels[first].unknowns, func(u int) bool { return e.home[u] == other })
}

// Dyes that meet only in the wax fill nothing in: of their panels, the rows are
// their own and the wax's.
func TestEliminationFillsNothingInWithoutMixtures(t *testing.T) {
	truth := shelf(numbered(30)...)
	var samples []Sample
	for _, d := range truth.Dyes {
		samples = append(samples, Sample{Recipe: one(d.Name, 1), Card: testCard})
	}
	e := newProblem(samples, truth.layout, truth.media, usual).order
	assert.Equal(t, 30*(dyeUnknowns+waxUnknowns)*dyeUnknowns+waxUnknowns*waxUnknowns, e.size)
}

// A bow taken by differences makes the Hessian that of the cost, which is taken by
// differences of the gradient over all unknowns here.
func TestBowsMakeTheHessianThatOfTheCost(t *testing.T) {
	p, theta := coupledShelf(t)
	g, h := p.bent(theta).normal(theta)
	moved := slices.Clone(theta)
	for _, u := range []int{0, 5, logSX, bend, p.dyes[1].at, p.dyes[2].at + exponent, p.cardAt} {
		const step = 1e-5
		moved[u] += step
		there, _ := p.normal(moved)
		moved[u] = theta[u]
		assert.InDelta(t, (there[u]-g[u])/step, *h.at(u, u), 1e-3*(1+*h.at(u, u)), "unknown %d", u)
	}
}
