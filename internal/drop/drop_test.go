package drop

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plane"
)

var identity = [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}

// painted are drops of the bodies given in a room whose mirrored light and shade are
// written out here: light from one side at 45 degrees on a Lambert cap, Fresnel's 3.25 %
// of a ceiling of so much radiance, and a round window. It is not the model's own form:
// the shade is the cosine, and the window a disc with a soft edge.
func painted(bodies [][3]float64, ceiling, window float64, seed uint64) []Seen {
	r := rand.New(rand.NewPCG(seed, 1))
	var out []Seen
	for k, b := range bodies {
		s := Seen{White: [3]float64{1, 1, 1}, Place: plane.Point{X: float64(k%4)/2 - 0.75, Y: float64(k/4)/2 - 0.25}}
		rim := 0.5 + 0.2*r.Float64()
		for _, at := range Cells() {
			tx, ty := math.Asin(rim*at.X), math.Asin(rim*at.Y)
			const directed = 0.6
			normal := [3]float64{math.Sin(tx), math.Sin(ty), math.Sqrt(max(0, 1-math.Pow(math.Sin(tx), 2)-math.Pow(math.Sin(ty), 2)))}
			lit := directed*(normal[0]+normal[2]) + (1-directed)*(1+normal[2])/2
			off := math.Hypot(tx-0.39, ty)
			mirror := 0.0325*ceiling + window/(1+math.Exp((off-0.15)/0.02))
			c := Cell{At: at, Held: [3]bool{true, true, true}}
			for j := range b {
				c.Light[j] = (b[j]*lit + mirror) * (1 + 0.002*r.NormFloat64())
			}
			s.Cells = append(s.Cells, c)
		}
		out = append(out, s)
	}
	return out
}

var ladder = [][3]float64{{0.78, 0.8, 0.7}, {0.6, 0.65, 0.7}, {0.4, 0.5, 0.65}, {0.25, 0.36, 0.6}, {0.14, 0.22, 0.5}, {0.07, 0.12, 0.4}, {0.33, 0.4, 0.6}, {0.05, 0.07, 0.3}}

// Bodies come out of a room that is not of the model's own form, the mirrored ceiling
// taken off, each within three standard deviations and all within a hundredth of white.
func TestReadTakesTheRoomOff(t *testing.T) {
	for _, ceiling := range []float64{0.25, 0.4, 0.55} {
		r, ok := Read(painted(ladder, ceiling, 0.3, 7), identity, false)
		require.True(t, ok)
		assert.Greater(t, r.Indoors, 0.9)
		for k, b := range ladder {
			for j := range b {
				sd := math.Sqrt(r.Covariance.At(3*k+j, 3*k+j))
				assert.InDelta(t, b[j], r.Body[k][j], 0.02, "ceiling %g, drop %d, %d", ceiling, k+1, j)
				assert.Less(t, math.Abs(b[j]-r.Body[k][j])/sd, 3.0, "ceiling %g, drop %d, %d", ceiling, k+1, j)
			}
		}
	}
}

// Foreign discs on three drops of eight are left out, and what they cover is said.
func TestReadLeavesForeignThingsOut(t *testing.T) {
	clean := painted(ladder, 0.4, 0.3, 3)
	soiled := painted(ladder, 0.4, 0.3, 3)
	for _, d := range []int{0, 2, 5} {
		for i := range soiled[d].Cells {
			if c := &soiled[d].Cells[i]; c.At.Minus(plane.Point{X: -0.2, Y: 0.2}).Length() < 0.25 {
				c.Light = [3]float64{0.1, 0.08, 0.03}
			}
		}
	}
	want, ok := Read(clean, identity, false)
	require.True(t, ok)
	got, ok := Read(soiled, identity, false)
	require.True(t, ok)
	for k := range ladder {
		for j := range 3 {
			assert.InDelta(t, want.Body[k][j], got.Body[k][j], 0.01, "drop %d", k+1)
		}
		covered, lost := 0, 0
		for i, c := range soiled[k].Cells {
			if c.Light == [3]float64{0.1, 0.08, 0.03} {
				covered++
				if got.Wax[k][i] < 0.3 {
					lost++
				}
			}
		}
		if k == 0 || k == 2 { // on the darkest the thing is nearly as dark
			assert.Greater(t, covered, 5)
			assert.Equal(t, covered, lost, "drop %d", k+1)
		}
	}
}

// What the drops share in error is in their covariance: the level of the room moves all
// of them alike, so that the difference of two drops is surer than each.
func TestErrorOfTheRoomIsShared(t *testing.T) {
	r, ok := Read(painted(ladder, 0.4, 0.3, 5), identity, false)
	require.True(t, ok)
	a, b := 3*2+1, 3*6+1
	cov := r.Covariance
	assert.Greater(t, cov.At(a, b), 0.5*math.Sqrt(cov.At(a, a)*cov.At(b, b)))
}

// A channel that the file cut off bounds the body from above and no more.
func TestCutOffChannelIsABound(t *testing.T) {
	seen := painted(ladder, 0.4, 0.3, 9)
	for i := range seen[5].Cells {
		c := &seen[5].Cells[i]
		c.Light[0], c.Held[0] = 0.05, false
	}
	r, ok := Read(seen, identity, false)
	require.True(t, ok)
	assert.Less(t, r.Body[5][0], 0.05)
	sd := math.Sqrt(r.Covariance.At(15, 15))
	assert.Greater(t, sd, 2*math.Sqrt(r.Covariance.At(12, 12)), "unsure of it")
	assert.InDelta(t, ladder[5][2], r.Body[5][2], 0.012, "the others are read")
}

// The slopes are those of the model, by central differences.
func TestSlopes(t *testing.T) {
	seen := painted(ladder[:2], 0.4, 0.3, 1)
	m, ok := newModel(seen, [3][3]float64{{0.41, 0.36, 0.18}, {0.21, 0.72, 0.07}, {0.02, 0.12, 0.95}}, false)
	require.True(t, ok)
	m.kind = kind{room: 0.04, roomSD: 0.01, shield: 0.02, wide: 0.1}
	x := m.start()
	r := rand.New(rand.NewPCG(2, 2))
	for i := range x {
		x[i] += 0.05 * r.NormFloat64()
	}
	cell := &seen[1].Cells[20]
	var v, up, down view
	m.look(1, cell, x, &v)
	for k := range perCell {
		n := ofDrop + k
		if k >= ofDrop {
			n = m.first + k - ofDrop
		}
		const step = 1e-5
		was := x[n]
		x[n] = was + step
		m.look(1, cell, x, &up)
		x[n] = was - step
		m.look(1, cell, x, &down)
		x[n] = was
		for ch := range 3 {
			assert.InDelta(t, (up.light[ch]-down.light[ch])/(2*step), v.slope[ch][k], 1e-6, "unknown %d, channel %d", k, ch)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	seen := painted(ladder, 0.4, 0.3, 1)
	_, ok := Read(nil, identity, false)
	assert.False(t, ok)
	_, ok = Read(seen, [3][3]float64{}, false)
	assert.False(t, ok)
	seen[0].Cells = seen[0].Cells[:3]
	_, ok = Read(seen, identity, false)
	assert.False(t, ok)
	seen = painted(ladder, 0.4, 0.3, 1)
	seen[1].Cells[4].Light[1] = math.NaN()
	assert.NotPanics(t, func() { Read(seen, identity, false) })
}

func BenchmarkRead(b *testing.B) {
	seen := painted(ladder, 0.4, 0.3, 1)
	for b.Loop() {
		Read(seen, identity, false)
	}
}
