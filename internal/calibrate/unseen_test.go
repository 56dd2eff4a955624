package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"setshade/internal/calibrate"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Waxes and dyes of another kind than those by which the doubts of this package
// were chosen (all invented): indices from 1.41 to 1.49, crystals that scatter
// from nearly evenly to strongly forwards, dyes with edges, plateaus and narrow
// twin bands, drops and readings that repeat worse. Nothing may be chosen by
// them: they are here to tell whether what was chosen elsewhere holds.
var unseenWaxes = sync.OnceValue(func() []*scene.Wax {
	var out []*scene.Wax
	for _, o := range []scene.WaxOptics{
		{RefractiveIndex: 1.41, Asymmetry: 0.35, ScatteringPerMM: 16, ScatteringPower: 1.1, AbsorptionPerMM: 0.004, CreamNM: 60},
		{RefractiveIndex: 1.46, Asymmetry: 0.5, ScatteringPerMM: 26, ScatteringPower: 0.3, AbsorptionPerMM: 0.02, CreamNM: 100},
		{RefractiveIndex: 1.49, Asymmetry: 0.8, ScatteringPerMM: 22, ScatteringPower: 0.9, AbsorptionPerMM: 0.008, CreamNM: 70},
	} {
		out = append(out, scene.NewWax(o))
	}
	return out
})

// unseenWorld draws a world of the other kind.
func unseenWorld(seed uint64, dyes int) world {
	w := world{
		card:   scene.WhiteCard(),
		random: rand.New(rand.NewPCG(seed, 77)),
	}
	waxes := unseenWaxes()
	w.shelf = &scene.Shelf{Wax: waxes[seed%uint64(len(waxes))]}
	w.dropMM = map[wax.State]float64{wax.SetState: w.between(1.8, 3.5), wax.LiquidState: w.between(1.5, 2.8)}
	w.spreads = spreads{reading: w.between(0.1, 0.35), drop: w.between(0.01, 0.04)}
	for d := range dyes {
		dye := w.unseenDye()
		dye.Name = dyeName(d)
		w.shelf.Dyes = append(w.shelf.Dyes, dye)
	}
	return w
}

func (w world) between(low, high float64) float64 { return low + (high-low)*w.random.Float64() }

// unseenDye draws a dye: a plateau from the ultraviolet up to an edge, as of
// yellows and reds; a plateau between two edges; or narrow twin bands.
func (w world) unseenDye() scene.Dye {
	height := math.Exp(w.between(math.Log(0.4), math.Log(4)))
	floor := height * w.between(0.002, 0.03)
	edge := func(at, width float64) func(nm float64) float64 {
		return func(nm float64) float64 { return 1 / (1 + math.Exp((nm-at)/width)) }
	}
	line := func(at, width float64) func(nm float64) float64 { // a Lorentz line
		return func(nm float64) float64 { x := (nm - at) / width; return 1 / (1 + x*x) }
	}
	var shape func(nm float64) float64
	switch w.random.IntN(3) {
	case 0:
		shape = edge(w.between(450, 600), w.between(8, 25))
	case 1:
		from := w.between(430, 560)
		low, high := edge(from, w.between(8, 25)), edge(from+w.between(60, 140), w.between(8, 25))
		shape = func(nm float64) float64 { return high(nm) * (1 - low(nm)) }
	default:
		at, apart := w.between(480, 640), w.between(35, 60)
		one, two, share := line(at, w.between(15, 28)), line(at-apart, w.between(18, 32)), w.between(0.3, 0.8)
		shape = func(nm float64) float64 { return one(nm) + share*two(nm) }
	}
	return scene.Dye{
		PerMM:       spectrum.Sample(func(nm float64) float64 { return floor + height*shape(nm) }),
		LiquidRatio: w.between(0.85, 1.15),
	}
}

// The coverage of intervals on shelves of the other kind: owed over all, and
// shown by the length of ladders and the size of the shelf. It is least where two
// drops a dye leave the noise unknown, since the noise of most evidence is then
// none.
func TestCoverageOnUnseenShelves(t *testing.T) {
	var table record
	ladders := [][]float64{{0.2, 1.2}, {0.05, 0.2, 0.6, 2}, {0.03, 0.05, 0.08, 0.12, 0.2, 0.3, 0.45, 0.65, 0.95, 1.3, 1.7, 2.2}}
	var all sync.WaitGroup
	for i := range 12 {
		dyes := []int{2, 2, 5, 3}[i%4]
		all.Go(func() {
			w := unseenWorld(uint64(i)+1, dyes)
			for _, ladder := range ladders {
				if dyes*len(ladder) > 40 {
					continue // takes as long as all the rest together
				}
				samples := w.ladders(ladder, onCard, "a")
				m := learn(t, samples)
				if m == nil {
					return
				}
				for _, prefix := range []string{"all: ", fmt.Sprintf("%02d drops: ", len(ladder)), fmt.Sprintf("%d dyes: ", dyes)} {
					w.tryAll(t, &table, m, prefix)
				}
			}
		})
	}
	all.Wait()
	table.log(t)
	for _, kind := range table.kinds {
		if strings.HasPrefix(kind, "all: ") {
			table.coverage(t, kind)
		}
	}
}

func (w world) tryAll(t *testing.T, table *record, m *calibrate.Model, prefix string) {
	for d := range w.shelf.Dyes {
		for _, c := range []float64{0.1, 0.35, 1.1} {
			table.try(t, w, m, prefix+"held-out dose", w.only(d, c), onCard, asPiece)
		}
	}
	w.eachPair(func(d, e int) {
		table.try(t, w, m, prefix+"mixture", w.both(d, e, w.anyDose(), w.anyDose()), onCard, asPiece)
	})
}
