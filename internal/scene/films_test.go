package scene

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/scene/transport"
)

var soy = NewWax(Soy)

// The table says what transport says, over the table's whole range and a little
// beyond it.
func TestTableAgreesWithTransport(t *testing.T) {
	spread := func(i int, step float64) float64 { _, part := math.Modf(float64(i+1) * step); return part }
	for i := range 300 {
		l := transport.Layer{
			ScatteringPerMM: 8 + 6*spread(i, 0.732),
			AbsorptionPerMM: math.Exp(-7 + 12*spread(i, 0.618)),
			ThicknessMM:     math.Exp(-4.5 + 6.8*spread(i, 0.414)),
		}
		want, got := soy.set.medium.Film(l), soy.set.of(l)
		for _, card := range []float64{0, 0.5, 0.89, 1} {
			assert.InDelta(t, want.Factor(card), got.Factor(card), 1e-5, "%+v over %g", l, card)
		}
		endless := soy.set.medium.Endless(l.ScatteringPerMM, l.AbsorptionPerMM)
		assert.InDelta(t, endless.Factor(0), soy.set.thick(l.ScatteringPerMM, l.AbsorptionPerMM).Factor(0), 1e-5, "%+v", l)
	}
}

func TestTableAtItsNodes(t *testing.T) {
	undyed := transport.Layer{ScatteringPerMM: 10, ThicknessMM: 1.6} // a/s = 0 is a node, s·d = 16 too
	assert.InDelta(t, soy.set.medium.Film(undyed).Factor(0.8), soy.set.of(undyed).Factor(0.8), 1e-9)
}

func BenchmarkSetReflectance(b *testing.B) {
	s, card := RandomShelf(soy, 1, 1), WhiteCard()
	for b.Loop() {
		s.SetReflectance(nil, 2.7, card)
	}
}

func BenchmarkNewWax(b *testing.B) {
	for b.Loop() {
		NewWax(Soy)
	}
}
