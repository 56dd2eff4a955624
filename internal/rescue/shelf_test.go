package rescue

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate/shelftest"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// BenchmarkMendOf40 mends one batch within reach of 40 dyes, and one out of reach with
// too little undyed wax, the longest search there is. The shelf takes long to learn.
func BenchmarkMendOf40(b *testing.B) {
	m, shelf := shelftest.Random(b, 1, 40)
	little := 300.0
	batch := wax.Batch{UndyedG: 800, Recipe: wax.Recipe{{Dye: "Dye 00", DoseGPerKg: 3}, {Dye: "Dye 07", DoseGPerKg: 1}}, Load: wax.Load{Per: wax.PerWax}}
	for _, c := range []struct {
		name   string
		target spectrum.Lab
		undyed *float64
	}{
		{"within reach", spectrum.Lab{L: 60, A: 2, B: 8}, nil},
		{"out of reach", spectrum.Lab{L: 90, A: 40, B: -30}, &little},
	} {
		b.Run(c.name, func(b *testing.B) {
			r := Request{Batch: batch, Target: Colour(c.target), View: thick, Shelf: shelf, UndyedG: c.undyed, ToleranceDE00: 1}
			for b.Loop() {
				if _, err := Mend(m, r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A large shelf is searched by halves: the answer is that of all pairs, each searched
// fully.
func TestPromisingPairsHoldTheAnswer(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	between := func(a, b float64) float64 { return a + (b-a)*random.Float64() }
	m, shelf := shelftest.Random(t, 3, 8)
	for range 16 {
		little := between(0, 1500)
		r := Request{
			Batch:  wax.Batch{UndyedG: 800, Recipe: wax.Recipe{{Dye: shelf[random.IntN(8)].Name, DoseGPerKg: between(0.3, 4)}}, Load: wax.Load{Per: wax.PerWax}},
			Target: Colour(spectrum.Lab{L: between(35, 92), A: between(-40, 40), B: between(-40, 50)}), View: thick,
			Shelf: shelf, UndyedG: &little, ToleranceDE00: 1,
		}
		q := &quest{model: m, Request: r, alone: map[string]point{}, floor: leastFactor}
		require.NoError(t, q.prepare())
		got := q.best()
		require.Greater(t, len(q.shelf)*(len(q.shelf)-1)/2, fewPairs, "pairs were left out")
		best := got
		for i, c := range q.shelf {
			for _, d := range q.shelf[:i] {
				if f, ok := q.searched([]colour{d, c}, !q.holdsOnly(c, d), q.aim); ok && q.better(f, best) < 0 {
					best = f
				}
			}
		}
		assert.Equal(t, q.tenths(best), q.tenths(got))
		assert.InEpsilon(t, q.price(best.Answer)+1, q.price(got.Answer)+1, 1e-3)
		t.Logf("dE00 %.3f (all pairs %.3f), %.1f g added (%.1f)", got.de00, best.de00, got.AddedG(), best.AddedG())
	}
}
