package calibrate_test

import (
	"encoding/json"
	"math"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/wax"
)

// toldTo is how far the thickness told of a drop is off, as a log.
const toldTo = 0.1

// uneven reads a ladder of every dye in drops 0.6 to 2 mm thick, and tells how thick
// each is, as mass and diameter do.
func (w world) uneven(ladder []float64, cardID string) []calibrate.Sample {
	recipes := [][]float64{make([]float64, len(w.shelf.Dyes))}
	for d := range w.shelf.Dyes {
		for _, c := range ladder {
			recipes = append(recipes, w.only(d, c))
		}
	}
	var samples []calibrate.Sample
	for _, doses := range recipes {
		at := onCard
		at.thicknessMM = 0.6 * math.Exp(math.Log(2/0.6)*w.random.Float64())
		samples = append(samples, w.read(doses, at, cardID))
		w.tell(&samples[len(samples)-1], at.thicknessMM, int64(len(samples)))
	}
	return samples
}

// tell tells how thick a drop is, to its error.
func (w world) tell(s *calibrate.Sample, mm float64, id int64) {
	s.ID, s.ThicknessMM = id, mm*math.Exp(toldTo*w.random.NormFloat64())
}

// untold are the samples without what is told of their thickness.
func untold(samples []calibrate.Sample) []calibrate.Sample {
	out := slices.Clone(samples)
	for i := range out {
		out[i].ThicknessMM = 0
	}
	return out
}

// hidingPerMM is the Kubelka-Munk scattering that belongs to a scattering coefficient
// σ and an asymmetry g, S = 3/4 σ (1 - g) (Mudgett and Richards 1971, Appl. Opt.
// 10:1485, from memory).
func (w world) hidingPerMM() float64 {
	if w.shelf.Wax == soy() {
		return 0.75 * 30 * (1 - 0.6)
	}
	return 0.75 * 18 * (1 - 0.7)
}

// Thick shades from a card of drops 0.6 to 2 mm thick, whether their thickness is told
// or not, and the hiding power that is learned where it is.
func TestAccuracyOfUnevenDrops(t *testing.T) {
	const worlds = 24
	var table record
	var found sync.Mutex
	var ratios []float64
	inside := 0
	inWorlds(worlds, func(w world) {
		samples := w.uneven([]float64{0.05, 0.2, 0.6, 2}, "a")
		table.tryTold(t, w, samples)
		m := learn(t, samples)
		if m == nil {
			return
		}
		perMM, spread, ok := m.HidingPerMM()
		assert.True(t, ok)
		off := math.Log(perMM / w.hidingPerMM())
		found.Lock()
		defer found.Unlock()
		ratios = append(ratios, math.Exp(off))
		if math.Abs(off) <= calibrate.Z95*spread {
			inside++
		}
	})
	table.log(t)
	slices.Sort(ratios)
	t.Logf("hiding per mm over that of the scene: %.2f to %.2f, median %.2f; inside %d of %d", ratios[0], ratios[worlds-1], ratios[worlds/2], inside, worlds)
	table.owe(t, "thickness told, thick", 0.8, 100)
	table.coverage(t, "thickness told, thick")
	told, not := table.by["thickness told, thick"], table.by["thickness untold, thick"]
	assert.Less(t, told.quantile(0.5), 0.9*not.quantile(0.5), "what the masses of the drops gain")
	assert.Less(t, told.quantile(0.95), 0.7*not.quantile(0.95), "what they gain where it matters most")
	assert.GreaterOrEqual(t, inside, worlds*9/10)
	assert.InDelta(t, 1, ratios[worlds/2], 0.5)
}

// tryTold learns from samples whose thickness is told, and from the same untold, and
// predicts thick pieces.
func (r *record) tryTold(t *testing.T, w world, samples []calibrate.Sample) {
	for kind, samples := range map[string][]calibrate.Sample{"thickness told": samples, "thickness untold": untold(samples)} {
		m := learn(t, samples)
		if m == nil {
			return
		}
		for d := range w.shelf.Dyes {
			for _, c := range []float64{0.1, 0.35, 1.1} {
				r.try(t, w, m, kind, w.only(d, c), asPiece)
			}
		}
	}
}

// noWorse checks that what is told does no harm.
func (r *record) noWorse(t *testing.T) {
	t.Helper()
	told, not := r.by["thickness told, thick"], r.by["thickness untold, thick"]
	assert.LessOrEqual(t, told.quantile(0.5), 1.05*not.quantile(0.5))
	assert.LessOrEqual(t, told.quantile(0.95), 1.05*not.quantile(0.95))
}

// even reads a ladder of every dye in drops as like as a pipette makes them, and tells
// how thick each is.
func (w world) even(mm float64, cardID string, firstID int64) []calibrate.Sample {
	w.dropMM[wax.SetState] = mm
	samples := w.ladders([]float64{0.05, 0.2, 0.6, 2}, onCard, cardID)
	for i := range samples {
		w.tell(&samples[i], mm, firstID+int64(i))
	}
	return samples
}

// Even drops gain little by being told to be even within an error, and lose nothing.
func TestAccuracyOfEvenDropsTold(t *testing.T) {
	var table record
	inWorlds(24, func(w world) { table.tryTold(t, w, w.even(1, "a", 1)) })
	table.log(t)
	table.noWorse(t)
	table.coverage(t, "thickness told, thick")
}

// A card of thin drops and one of thick ones, whose masses are told.
func TestAccuracyOfThinAndThickCardsTold(t *testing.T) {
	var table record
	inWorlds(8, func(w world) { table.tryTold(t, w, append(w.even(0.8, "a", 1), w.even(2, "b", 100)...)) })
	table.log(t)
	table.noWorse(t)
	table.coverage(t, "thickness told, thick")
}

// What was told is saved with the model, and a model that was told nothing is as if
// nothing could be told.
func TestThicknessIsSavedWithTheModel(t *testing.T) {
	w := newWorld(1, 2)
	samples := w.uneven([]float64{0.1, 0.6}, "a")
	m := learn(t, samples)
	saved, err := json.Marshal(m)
	require.NoError(t, err)
	back, err := calibrate.ReadModel(saved)
	require.NoError(t, err)
	perMM, spread, _ := m.HidingPerMM()
	againPerMM, againSpread, ok := back.HidingPerMM()
	assert.True(t, ok)
	assert.Equal(t, []float64{perMM, spread}, []float64{againPerMM, againSpread})
	back.Explore(samples, 2, 1)
	back.LeaveOneOut(samples, nil)
	assert.Empty(t, back.FormDoubts(samples))

	without := learn(t, untold(samples))
	_, _, ok = without.HidingPerMM()
	assert.False(t, ok)
	saved, err = json.Marshal(without)
	require.NoError(t, err)
	assert.NotContains(t, string(saved), "thickness")
}
