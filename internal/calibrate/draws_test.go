package calibrate

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// Within what was tested, what the draws spread over must be about what Predict
// says; the same seed repeats them, and they are saved with the model.
func TestDrawsAgreeWithPredictWithinWhatWasTested(t *testing.T) {
	truth, _, samples := learnedShelf(t, 0.1, "Bracken", "Slate")
	mixed := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}, {Dye: "Slate", DoseGPerKg: 0.5}}
	samples = append(samples, truth.measure(99, mixed, 0.1, rand.New(rand.NewPCG(7, 8))))
	learned, err := Learn(testWax, samples)
	require.NoError(t, err)
	const count = 100
	learned.Explore(samples, count, 3)
	view := View{Card: testCard}
	for _, recipe := range []wax.Recipe{{{Dye: "Bracken", DoseGPerKg: 1}}, mixed} {
		p, err := learned.Predict(recipe, view)
		require.NoError(t, err)
		draws, err := learned.Draws(recipe, view, 20*count, 3)
		require.NoError(t, err)
		square := 0.0
		for _, d := range draws {
			off := d.Vector()
			for c, v := range p.Lab.Vector() {
				off[c] -= v
			}
			metric := matrix3(p.Lab.Metric00()).times(off)
			square += dot(off, metric) / float64(len(draws))
		}
		expected := p.UncertaintyDE00()
		t.Logf("%s: draws %.3f dE00 rms, Predict %.3f", recipe, math.Sqrt(square), expected)
		assert.InEpsilon(t, expected, math.Sqrt(square), 0.35, recipe.String())
	}

	data, err := json.Marshal(learned)
	require.NoError(t, err)
	var again Model
	require.NoError(t, json.Unmarshal(data, &again))
	assert.Equal(t, learned.ensemble, again.ensemble)
	learned.Explore(samples, count, 3)
	assert.Equal(t, learned.ensemble, again.ensemble)
}
