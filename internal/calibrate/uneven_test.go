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
	"setshade/internal/scene"
	"setshade/internal/spectrum"
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

// hidesFromMM is where the undyed wax of the world has a contrast ratio of 98 %.
func (w world) hidesFromMM() float64 {
	luminance := func(mm, backing float64) float64 {
		return spectrum.D65.XYZ(w.shelf.Reflectance(nil, wax.SetState, mm, spectrum.Flat(backing))).Y
	}
	thin, thick := 0.1, 100.0
	for range 30 {
		if middle := math.Sqrt(thin * thick); luminance(middle, 0.01) < 0.98*luminance(middle, 0.8) {
			thin = middle
		} else {
			thick = middle
		}
	}
	return thick
}

// Thick shades from a card of drops 0.6 to 2 mm thick, whether their thickness is told
// or not, and the hiding power that is learned where it is.
func TestAccuracyOfUnevenDrops(t *testing.T) {
	const worlds = 24
	var table record
	var found sync.Mutex
	var ratios, hides []float64
	inside, hidesInside := 0, 0
	hidden := map[*scene.Wax]float64{soy(): newWorld(2, 1).hidesFromMM(), pale(): newWorld(1, 1).hidesFromMM()}
	inWorlds(worlds, func(w world) {
		samples := w.uneven([]float64{0.05, 0.2, 0.6, 2}, "a")
		m := table.tryTold(t, w, samples)
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
		mm, spread, ok := m.HidesFromMM()
		assert.True(t, ok)
		off = math.Log(mm / hidden[w.shelf.Wax])
		hides = append(hides, math.Exp(off))
		if math.Abs(off) <= calibrate.Z95*spread {
			hidesInside++
		}
	})
	table.log(t)
	slices.Sort(ratios)
	slices.Sort(hides)
	t.Logf("mm that hide over those of the scene: %.2f to %.2f, median %.2f; inside %d of %d", hides[0], hides[worlds-1], hides[worlds/2], hidesInside, worlds)
	t.Logf("hiding per mm over that of the scene: %.2f to %.2f, median %.2f; inside %d of %d", ratios[0], ratios[worlds-1], ratios[worlds/2], inside, worlds)
	table.owe(t, "thickness told, thick", 0.8, 100)
	table.coverage(t, "thickness told, thick")
	told, not := table.by["thickness told, thick"], table.by["thickness untold, thick"]
	assert.Less(t, told.quantile(0.5), 0.9*not.quantile(0.5), "what the masses of the drops gain")
	assert.Less(t, told.quantile(0.95), 0.7*not.quantile(0.95), "what they gain where it matters most")
	assert.GreaterOrEqual(t, inside, worlds*9/10)
	assert.InDelta(t, 1, ratios[worlds/2], 0.5)
	assert.GreaterOrEqual(t, hidesInside, worlds*9/10)
	assert.InDelta(t, 1, hides[worlds/2], 0.3)
}

// tryTold learns from samples whose thickness is told, and from the same untold, and
// predicts thick pieces. It returns the model of those told, nil where there is none.
func (r *record) tryTold(t *testing.T, w world, samples []calibrate.Sample) *calibrate.Model {
	told, not := learn(t, samples), learn(t, untold(samples))
	if told == nil || not == nil {
		return nil
	}
	for kind, m := range map[string]*calibrate.Model{"thickness told": told, "thickness untold": not} {
		for d := range w.shelf.Dyes {
			for _, c := range []float64{0.1, 0.35, 1.1} {
				r.try(t, w, m, kind, w.only(d, c), asPiece)
			}
		}
	}
	return told
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
