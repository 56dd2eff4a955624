package calibrate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"setshade/internal/wax"
)

// A shelf as years of work leave it: six dyes, many drops of each over cards of some
// ten drops, pure and mixed, read to some 0.2 dE00.
func manyDrops(count int) []Sample {
	random := rand.New(rand.NewPCG(7, 9))
	truth := shelf(sixDyes...)
	var out []Sample
	for i := range count {
		dose := func() float64 { return 0.05 * math.Exp(4*random.Float64()) }
		recipe := wax.Recipe{{Dye: sixDyes[i%6], DoseGPerKg: dose()}}
		switch {
		case i%20 == 0:
			recipe = nil
		case i%5 == 0:
			other := sixDyes[(i%6+1+random.IntN(5))%6]
			recipe, _ = wax.NewRecipe(recipe[0], wax.Part{Dye: other, DoseGPerKg: dose()})
		}
		s := truth.measure(int64(i+1), recipe, 0.2, random)
		s.CardID = fmt.Sprint("card ", i/10)
		out = append(out, s)
	}
	return out
}

func BenchmarkLearn400Drops(b *testing.B)  { benchmarkMany(b, 400) }
func BenchmarkLearn1000Drops(b *testing.B) { benchmarkMany(b, 1000) }

// benchmarkMany learns as the command does, drops left out one by one included.
func benchmarkMany(b *testing.B, count int) {
	samples := manyDrops(count)
	for b.Loop() {
		m, err := Learn(testWax, samples)
		if err != nil {
			b.Fatal(err)
		}
		m.LeaveOneOut(samples, nil)
	}
}
