package calibrate_test

import (
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// misses gathers predictions of one kind beside the truth.
type misses struct {
	de00   []float64
	inside int
}

func (m *misses) add(predicted shade.Shade, truth spectrum.Lab) {
	d := spectrum.DE00(predicted.Lab, truth)
	m.de00 = append(m.de00, d)
	if d <= predicted.Within95 {
		m.inside++
	}
}

func (m *misses) quantile(share float64) float64 {
	slices.Sort(m.de00)
	return m.de00[min(int(share*float64(len(m.de00))), len(m.de00)-1)]
}

func (m *misses) coverage() float64 { return 100 * float64(m.inside) / float64(len(m.de00)) }

// kinds are the predictions that are tried, in the order they are shown.
var kinds = []string{"held-out dose", "mixture", "held-out dose, thick", "mixture, thick"}

// tryLadder learns from ladders of the given doses in so many worlds, and
// predicts doses between them and mixtures of two dyes.
func tryLadder(t *testing.T, ladder []float64, worlds int) map[string]*misses {
	const dyes = 4
	out := map[string]*misses{}
	for _, kind := range kinds {
		out[kind] = &misses{}
	}
	for seed := range uint64(worlds) {
		w := newWorld(seed+1, dyes)
		model, err := calibrate.Learn(wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44}, w.ladders(ladder))
		if !assert.NoError(t, err) {
			return out
		}
		try := func(kind string, doses []float64) {
			for suffix, view := range map[string]calibrate.View{"": {Card: w.card}, ", thick": {Thick: true}} {
				s, err := shade.Of(model, recipeOf(doses), view)
				assert.NoError(t, err)
				out[kind+suffix].add(s, w.lab(doses, view.Thick))
			}
		}
		for d := range dyes {
			for _, c := range []float64{0.1, 0.35, 1.1} {
				try("held-out dose", w.only(d, c))
			}
			for e := range d {
				mixture := w.only(d, 0.1+0.5*w.random.Float64())
				mixture[e] = 0.1 + 0.5*w.random.Float64()
				try("mixture", mixture)
			}
		}
	}
	return out
}

// Predictions against radiative transfer (package transport, checked against
// van de Hulst 1980 and Giovanelli 1955), for ladders of several lengths. The
// owed figures stand for ladders of four drops; the others are shown.
func TestAccuracyOnRadiativeTransfer(t *testing.T) {
	const worlds = 16
	ladders := [][]float64{{0.2, 1.2}, {0.06, 0.4, 2}, {0.05, 0.2, 0.6, 2}, {0.05, 0.12, 0.28, 0.6, 1.1, 2}}
	results := make([]map[string]*misses, len(ladders))
	var all sync.WaitGroup
	for i, ladder := range ladders {
		all.Go(func() { results[i] = tryLadder(t, ladder, worlds) })
	}
	all.Wait()

	t.Logf("%-22s %6s %5s %7s %6s %6s %8s", "dE00 to the truth", "ladder", "n", "median", "95 %", "worst", "inside")
	pooled := map[string]*misses{}
	for i, ladder := range ladders {
		for _, kind := range kinds {
			m := results[i][kind]
			t.Logf("%-22s %6d %5d %7.2f %6.2f %6.2f %6.1f %%", kind, len(ladder), len(m.de00), m.quantile(0.5), m.quantile(0.95), m.quantile(1), m.coverage())
			if pooled[kind] == nil {
				pooled[kind] = &misses{}
			}
			pooled[kind].de00 = append(pooled[kind].de00, m.de00...)
			pooled[kind].inside += m.inside
		}
		if len(ladder) == 4 {
			owed := results[i]
			assert.LessOrEqual(t, owed["held-out dose"].quantile(0.5), 0.5, "held-out dose, median")
			assert.LessOrEqual(t, owed["held-out dose"].quantile(0.95), 1.0, "held-out dose, 95 %%")
			assert.LessOrEqual(t, owed["mixture"].quantile(0.5), 1.0, "mixture, median")
			assert.LessOrEqual(t, owed["mixture"].quantile(0.95), 2.5, "mixture, 95 %%")
			assert.LessOrEqual(t, owed["held-out dose, thick"].quantile(0.5), 0.8, "thick from thin, median")
		}
	}
	for _, kind := range kinds {
		t.Logf("%-22s inside its 95 %% interval, all ladders: %.1f %% of %d", kind, pooled[kind].coverage(), len(pooled[kind].de00))
		assert.InDelta(t, 95, pooled[kind].coverage(), 3, "the 95 %% interval is owed to cover 92 to 98 %%: %s", kind)
	}
}
