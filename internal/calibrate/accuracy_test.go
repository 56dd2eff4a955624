package calibrate_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
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

// record holds the misses by kind; it may be filled from several goroutines.
type record struct {
	sync.Mutex
	kinds []string
	by    map[string]*misses
}

func (r *record) add(kind string, predicted shade.Shade, truth spectrum.Lab) {
	r.Lock()
	defer r.Unlock()
	if r.by == nil {
		r.by = map[string]*misses{}
	}
	if r.by[kind] == nil {
		r.by[kind] = &misses{}
		r.kinds = append(r.kinds, kind)
	}
	r.by[kind].add(predicted, truth)
}

func (r *record) log(t *testing.T) {
	slices.Sort(r.kinds)
	t.Logf("%-40s %5s %7s %6s %6s %8s", "dE00 to the truth", "n", "median", "95 %", "worst", "inside")
	for _, kind := range r.kinds {
		m := r.by[kind]
		t.Logf("%-40s %5d %7.2f %6.2f %6.2f %6.1f %%", kind, len(m.de00), m.quantile(0.5), m.quantile(0.95), m.quantile(1), m.coverage())
	}
}

// tally counts how often a plan is said to be followed, by kind; it may be filled
// from several goroutines.
type tally struct {
	sync.Mutex
	followed, of map[string]float64
}

func (c *tally) add(kind string, chance float64) {
	c.Lock()
	defer c.Unlock()
	if c.of == nil {
		c.followed, c.of = map[string]float64{}, map[string]float64{}
	}
	c.of[kind]++
	if chance > 0.5 {
		c.followed[kind]++
	}
}

func (c *tally) shares() map[string]float64 {
	out := map[string]float64{}
	for kind, of := range c.of {
		out[kind] = c.followed[kind] / of
	}
	return out
}

// coverage checks that the 95 % interval of a kind covers 92 to 98 %, as owed.
func (r *record) coverage(t *testing.T, kind string) {
	t.Helper()
	if m := r.by[kind]; assert.NotNil(t, m, kind) {
		assert.InDelta(t, 95, m.coverage(), 3, "%s: the 95 %% interval is owed to cover 92 to 98 %%", kind)
	}
}

// owe checks a kind against what is owed of its median and its 95 % point.
func (r *record) owe(t *testing.T, kind string, median, q95 float64) {
	t.Helper()
	if m := r.by[kind]; assert.NotNil(t, m, kind) {
		assert.LessOrEqual(t, m.quantile(0.5), median, "%s, median", kind)
		assert.LessOrEqual(t, m.quantile(0.95), q95, "%s, 95 %%", kind)
	}
}

// inWorlds runs a study in so many worlds at once, with shelves small and large
// by turns.
func inWorlds(worlds int, study func(w world)) {
	var all sync.WaitGroup
	for i := range worlds {
		dyes := []int{2, 2, 5, 5}[i%4]
		all.Go(func() { study(newWorld(uint64(i)+1, dyes)) })
	}
	all.Wait()
}

var testWax = wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44}

func learn(t *testing.T, samples []calibrate.Sample) *calibrate.Model {
	m, err := calibrate.Learn(testWax, samples)
	if err != nil {
		t.Error(err)
		return nil
	}
	return m
}

// try predicts a recipe as seen at each place, a drop on the next card.
func (r *record) try(t *testing.T, w world, m *calibrate.Model, kind string, doses []float64, places ...where) {
	for _, at := range places {
		s, err := shade.Of(m, recipeOf(doses), w.view(at))
		if !assert.NoError(t, err) {
			return
		}
		suffix := ""
		if at.thick {
			suffix = ", thick"
		}
		r.add(kind+suffix, s, w.lab(doses, w.onNextCard(doses, at)))
	}
}

// tryBaselines predicts a drop by either way that knows no spectra.
func (r *record) tryBaselines(w world, samples []calibrate.Sample, kind string, doses []float64) {
	l := ladderOf(samples)
	truth := w.lab(doses, onCard)
	r.add(kind+" (three channels)", shade.Shade{Lab: l.threeChannels(doses)}, truth)
	r.add(kind+" (linear RGB)", shade.Shade{Lab: l.interpolated(doses)}, truth)
}

// eachPair calls f for every two dyes.
func (w world) eachPair(f func(d, e int)) {
	for d := range w.shelf.Dyes {
		for e := range d {
			f(d, e)
		}
	}
}

// Predictions against radiative transfer (package transport, checked against
// van de Hulst 1980 and Giovanelli 1955), for ladders of several lengths. The
// owed figures stand for ladders of four drops; the others are shown.
func TestAccuracyOnRadiativeTransfer(t *testing.T) {
	ladders := [][]float64{{0.2, 1.2}, {0.06, 0.4, 2}, {0.05, 0.2, 0.6, 2}, {0.05, 0.12, 0.28, 0.6, 1.1, 2}}
	var table, pooled record
	inWorlds(12, func(w world) {
		for _, ladder := range ladders {
			samples := w.ladders(ladder, onCard, "a")
			m := learn(t, samples)
			if m == nil {
				return
			}
			for _, r := range []struct {
				*record
				prefix string
			}{{&table, fmt.Sprintf("%d drops: ", len(ladder))}, {&pooled, "all: "}} {
				for d := range w.shelf.Dyes {
					for _, c := range []float64{0.1, 0.35, 1.1} {
						r.try(t, w, m, r.prefix+"held-out dose", w.only(d, c), onCard, asPiece)
						r.tryBaselines(w, samples, r.prefix+"held-out dose", w.only(d, c))
					}
				}
				w.eachPair(func(d, e int) {
					doses := w.both(d, e, w.anyDose(), w.anyDose())
					r.try(t, w, m, r.prefix+"mixture", doses, onCard, asPiece)
					r.tryBaselines(w, samples, r.prefix+"mixture", doses)
				})
			}
		}
	})
	table.log(t)
	pooled.log(t)
	table.owe(t, "4 drops: held-out dose", 0.5, 1)
	table.owe(t, "4 drops: mixture", 1, 2.5)
	for _, baseline := range []string{" (three channels)", " (linear RGB)"} {
		for _, kind := range []string{"4 drops: held-out dose", "4 drops: mixture"} {
			assert.Greater(t, table.by[kind+baseline].quantile(0.5), 2*table.by[kind].quantile(0.5), "what the spectra gain over%s", baseline)
		}
	}
	for _, kind := range pooled.kinds {
		if strings.Contains(kind, "(") {
			continue // the baselines know no interval
		}
		pooled.coverage(t, kind)
	}
}

// One drop of a mixture sharpens the others of the same two dyes.
func TestAccuracyWithOneMixtureDrop(t *testing.T) {
	var table record
	inWorlds(8, func(w world) {
		samples := w.ladders([]float64{0.05, 0.2, 0.6, 2}, onCard, "a")
		w.eachPair(func(d, e int) { samples = append(samples, w.read(w.both(d, e, 0.3, 0.3), onCard, "a")) })
		if m := learn(t, samples); m != nil {
			w.eachPair(func(d, e int) {
				r := w.both(d, e, w.anyDose(), w.anyDose())
				table.try(t, w, m, "mixture, one drop of it known", r, onCard, asPiece)
			})
		}
	})
	table.log(t)
	table.owe(t, "mixture, one drop of it known", 0.6, 1.5)
}

// A drop of 1 mm lets its card show. The black bar under part of the drops tells
// how much.
func TestAccuracyOfThickFromThin(t *testing.T) {
	var table record
	inWorlds(16, func(w world) {
		w.dropMM[wax.SetState] = 1
		ladder := []float64{0.05, 0.2, 0.6, 2}
		samples := w.ladders(ladder, onCard, "a")
		bars := append(samples, w.ladders([]float64{0.2}, onBar, "a")...)
		without, with := learn(t, samples), learn(t, bars)
		if without == nil || with == nil {
			return
		}
		for d := range w.shelf.Dyes {
			for _, c := range []float64{0.1, 0.35, 1.1} {
				table.try(t, w, without, "from drops of 1 mm on card", w.only(d, c), asPiece)
				table.try(t, w, with, "from drops of 1 mm, some over the bar", w.only(d, c), asPiece)
			}
		}
	})
	table.log(t)
	table.owe(t, "from drops of 1 mm on card, thick", 0.8, 100)
	table.owe(t, "from drops of 1 mm, some over the bar, thick", 0.8, 100)
	table.coverage(t, "from drops of 1 mm on card, thick")
	table.coverage(t, "from drops of 1 mm, some over the bar, thick")
}

// A drop at the pot, still liquid, of a batch whose dyes are named and whose
// doses are not, tells the set shade. Learned from ladders photographed liquid,
// and again when set.
func TestAccuracyOfSetFromLiquid(t *testing.T) {
	var table, pooled record
	var plans tally
	inWorlds(8, func(w world) {
		ladder := []float64{0.05, 0.2, 0.6, 2}
		samples := w.ladders(ladder, onCard, "a")
		m := learn(t, append(samples, w.ladders(ladder, asDrip, "a, liquid")...))
		if m == nil {
			return
		}
		try := func(kind string, doses []float64) {
			drop := w.read(doses, asDrip, "pot")
			liquid := shade.LiquidDrop{Colour: drop.Colour, Card: drop.Card}
			for _, p := range drop.Recipe {
				liquid.Dyes = append(liquid.Dyes, p.Dye)
			}
			s, err := shade.FromLiquid(m, liquid, w.view(asPiece))
			if assert.NoError(t, err) {
				table.add(kind, s.Shade, w.lab(doses, asPiece))
				pooled.add("set from a liquid drop", s.Shade, w.lab(doses, asPiece))
			}
			weighed := slices.Clone(drop.Recipe)
			for i := range weighed {
				weighed[i].DoseGPerKg *= math.Exp(0.1 * w.random.NormFloat64())
			}
			wrong := slices.Clone(weighed)
			wrong[0].DoseGPerKg *= 2
			for _, plan := range []struct {
				suffix string
				recipe wax.Recipe
			}{{", weighed to 10 %", weighed}, {", half of the first dye forgotten", wrong}} {
				liquid.Recipe = plan.recipe
				s, err = shade.FromLiquid(m, liquid, w.view(asPiece))
				if !assert.NoError(t, err) {
					return
				}
				table.add(kind+plan.suffix, s.Shade, w.lab(doses, asPiece))
				pooled.add("set from a liquid drop"+plan.suffix, s.Shade, w.lab(doses, asPiece))
				plans.add(plan.suffix, s.Followed)
			}
		}
		for d := range w.shelf.Dyes {
			for _, c := range []float64{0.1, 0.35, 1.1} {
				try("set from a liquid drop, one dye", w.only(d, c))
				table.try(t, w, m, "set by recipe, liquid drops learned too", w.only(d, c), onCard)
			}
		}
		w.eachPair(func(d, e int) { try("set from a liquid drop, two dyes", w.both(d, e, w.anyDose(), w.anyDose())) })
	})
	table.log(t)
	pooled.log(t)
	for _, kind := range pooled.kinds {
		pooled.owe(t, kind, 1, 2)
		pooled.coverage(t, kind)
	}
	for plan, share := range plans.shares() {
		t.Logf("the plan is told to be followed%s: %.0f %%", plan, 100*share)
	}
	assert.GreaterOrEqual(t, plans.shares()[", weighed to 10 %"], 0.95)
	assert.LessOrEqual(t, plans.shares()[", half of the first dye forgotten"], 0.1)
}

// Doses three times above and below those tested: intervals must widen so that
// they still cover. With draws of the posterior they cover better than by the
// linear form alone.
func TestAccuracyBeyondWhatWasTested(t *testing.T) {
	var table record
	inWorlds(8, func(w world) {
		samples := w.ladders([]float64{0.15, 0.35, 0.7}, onCard, "a")
		m := learn(t, samples)
		if m == nil {
			return
		}
		beyond := func(suffix string) {
			for d := range w.shelf.Dyes {
				for _, c := range []float64{0.05, 2.1} {
					table.try(t, w, m, fmt.Sprintf("beyond, at %g g/kg", c)+suffix, w.only(d, c), onCard)
				}
			}
		}
		beyond(", linear")
		m.Explore(samples, 60, 1)
		beyond(", drawn")
	})
	table.log(t)
	assert.GreaterOrEqual(t, table.by["beyond, at 2.1 g/kg, drawn"].coverage(), 90.0)
	assert.GreaterOrEqual(t, table.by["beyond, at 0.05 g/kg, drawn"].coverage(), 90.0)
}
