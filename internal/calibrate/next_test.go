package calibrate_test

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Really making the drop that is ranked first must help more, on average over
// many shelves whose physics is not ours, than making the one ranked last.
func TestTheRecommendedDropHelpsMost(t *testing.T) {
	var sum struct {
		sync.Mutex
		before, best, worst float64
	}
	inWorlds(12, func(w world) {
		samples := w.ladders([]float64{0.2, 1.2}, onCard, "a")
		m := learn(t, samples)
		if m == nil {
			return
		}
		var candidates [][]float64
		var recipes, wanted []wax.Recipe
		for d := range w.shelf.Dyes {
			for _, c := range []float64{0.05, 0.2, 0.6} {
				candidates = append(candidates, w.only(d, c))
			}
		}
		w.eachPair(func(d, e int) { candidates = append(candidates, w.both(d, e, 0.4, 0.4)) })
		for _, c := range candidates {
			recipes = append(recipes, recipeOf(c))
		}
		var doses [][]float64
		w.eachPair(func(d, e int) {
			for _, r := range [][2]float64{{0.2, 0.6}, {0.6, 0.2}, {0.3, 0.3}} {
				doses = append(doses, w.both(d, e, r[0], r[1]))
				wanted = append(wanted, recipeOf(doses[len(doses)-1]))
			}
		})
		ranked, err := m.NextDrops(wanted, recipes, w.view(onCard))
		if !assert.NoError(t, err) {
			return
		}
		miss := func(m *calibrate.Model) float64 {
			total := 0.0
			for i, d := range doses {
				lab, err := m.Lab(wanted[i], w.view(asPiece))
				assert.NoError(t, err)
				total += spectrum.DE00(lab, w.lab(d, asPiece)) / float64(len(doses))
			}
			return total
		}
		with := func(r wax.Recipe) *calibrate.Model {
			for i := range recipes {
				if recipes[i].String() == r.String() {
					return learn(t, append(samples[:len(samples):len(samples)], w.read(candidates[i], onCard, "a")))
				}
			}
			return nil
		}
		before, best, worst := miss(m), miss(with(ranked[0].Recipe)), miss(with(ranked[len(ranked)-1].Recipe))
		sum.Lock()
		defer sum.Unlock()
		sum.before, sum.best, sum.worst = sum.before+before/12, sum.best+best/12, sum.worst+worst/12
	})
	t.Logf("mean miss %.3f dE00; with the best drop %.3f, with the worst %.3f", sum.before, sum.best, sum.worst)
	assert.Less(t, sum.best, sum.worst)
	assert.Less(t, sum.best, sum.before)
}

func TestNextDropsRefusesUnknownDyes(t *testing.T) {
	w := newWorld(1, 1)
	m := learn(t, w.ladders([]float64{0.2, 1.2}, onCard, "a"))
	require.NotNil(t, m)
	unknown := []wax.Recipe{{{Dye: "Sorrel", DoseGPerKg: 1}}}
	_, err := m.NextDrops(m.Everything(), unknown, w.view(onCard))
	assert.ErrorIs(t, err, calibrate.ErrUnknownDye)
	_, err = m.NextDrops(unknown, m.Everything(), w.view(onCard))
	assert.ErrorIs(t, err, calibrate.ErrUnknownDye)
}
