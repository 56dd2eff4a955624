package recipe

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
)

func anyColour(r *rand.Rand) spectrum.Lab {
	scale := []float64{1, 10, 40, 110}[r.IntN(4)]
	return spectrum.Lab{L: 100 * r.Float64(), A: scale * (2*r.Float64() - 1), B: scale * (2*r.Float64() - 1)}
}

// spectrum.DE00, checked on the published pairs, is the independent check: no
// colour of a box may be nearer than the bound, and a small box must have a
// bound near its difference.
func TestNoColourOfABoxIsNearerThanTheBound(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	loosest := 0.0
	for range 20000 {
		target, centre := anyColour(r), anyColour(r)
		if r.IntN(2) == 0 {
			d := anyColour(r)
			centre = spectrum.Lab{L: target.L + d.L/20, A: target.A + d.A/10, B: target.B + d.B/10}
		}
		size := math.Pow(10, -3+4.5*r.Float64())
		half := [3]float64{size * r.Float64(), size * r.Float64(), size * r.Float64()}
		box := around(centre, half)
		bound := leastDE00(target, box)
		for range 12 {
			c := centre.Vector()
			for i := range c {
				c[i] += half[i] * math.Max(-1, math.Min(1, 2.4*r.Float64()-1.2))
			}
			if de00 := spectrum.DE00(target, spectrum.LabOf(c)); bound > de00 {
				require.Fail(t, "a colour is nearer than the bound", "%v to %v: %g, bound %g", target, c, de00, bound)
			}
		}
		if size < 0.01 && centre.Chroma() > 1 && target.Chroma() > 1 {
			loosest = math.Max(loosest, 1-bound/spectrum.DE00(target, centre))
		}
	}
	t.Logf("small boxes: the bound is at most %.0f %% below the difference", 100*loosest)
}

func TestNoColourOutsideIsNear(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2))
	for range 60 {
		target := anyColour(r)
		within := math.Pow(10, -2+3.7*r.Float64())
		n := nearTo(target, within)
		tight := 0.0
		for range 300 {
			towards := anyColour(r)
			other := spectrum.LabOf(onRim(target, towards, within))
			shares := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
			least, most := n.span(&shares)
			v := shares[0]*other.L + shares[1]*other.A + shares[2]*other.B
			near := v >= least && v <= most
			for x, c := range other.Vector() {
				near = near && c >= n.box.least[x] && c <= n.box.most[x]
			}
			require.True(t, near, "%v is within %g of %v", other, within, target)
			tight = max(tight, 2*math.Abs(v-(least+most)/2)/(most-least))
		}
		t.Logf("%v within %.3g: the rim comes to %.2f of the span", target, within, tight)
	}
}

// onRim goes from the target towards another colour to where the difference is
// the given one, or to the other colour.
func onRim(target, other spectrum.Lab, within float64) [3]float64 {
	at := func(f float64) [3]float64 {
		return [3]float64{target.L + f*(other.L-target.L), target.A + f*(other.A-target.A), target.B + f*(other.B-target.B)}
	}
	low, high := 0.0, 1.0
	for range 40 {
		if middle := (low + high) / 2; spectrum.DE00(target, spectrum.LabOf(at(middle))) <= within {
			low = middle
		} else {
			high = middle
		}
	}
	return at(low)
}
