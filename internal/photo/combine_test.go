package photo

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"

	"setshade/internal/picture"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// readingOfDrops is a reading of drops of L* values, with an error of each alone and one that
// all have alike, as standard deviations of L*, a* and b*.
func readingOfDrops(light wax.Light, own, alike float64, lightness ...float64) Reading {
	r := Reading{Light: light}
	n := 3 * len(lightness)
	r.Joint = mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v := 0.0
			if i%3 == j%3 {
				v = alike * alike
			}
			if i == j {
				v += own * own
			}
			r.Joint.SetSym(i, j, v)
		}
	}
	for i, l := range lightness {
		d := Drop{Number: i + 1, Colour: spectrum.Measured{Lab: spectrum.Lab{L: l}}}
		for k := range 3 {
			d.Colour.Cov[k][k] = own*own + alike*alike
		}
		r.Drops = append(r.Drops, d)
	}
	return r
}

func TestCombineIsTheWeightedMean(t *testing.T) {
	// The weighted mean of two measurements and its error: JCGM 100:2008, H.9 aside,
	// any textbook of least squares; by hand 10 with s 1 and 12 with s 2 give 10.4 with
	// variance 0.8.
	got, err := Combine(readingOfDrops(wax.WindowLight, 1, 0, 10), readingOfDrops(wax.OvercastLight, 2, 0, 12))
	require.NoError(t, err)
	assert.InDelta(t, 10.4, got.Colours[0].Lab.L, 1e-12)
	assert.InDelta(t, 0.8, got.Colours[0].Cov[0][0], 1e-12)
	assert.Empty(t, got.Notes)
}

// A reading alone comes out as it went in.
func TestCombineOfOne(t *testing.T) {
	r := readingOfDrops(wax.UntoldLight, 0.3, 0.5, 40, 70)
	got, err := Combine(r)
	require.NoError(t, err)
	for i, d := range r.Drops {
		assert.InDelta(t, d.Colour.Lab.L, got.Colours[i].Lab.L, 1e-9)
		assert.InDelta(t, d.Colour.Cov[0][0], got.Colours[i].Cov[0][0], 1e-9)
		assert.InDelta(t, 0, got.Colours[i].Cov[0][1], 1e-9)
	}
	assert.Empty(t, got.Notes)
}

// A card that is only turned lies under the same room: no number of photographs makes
// it surer, and the reading says so.
func TestTheSameLightTellsNothingNew(t *testing.T) {
	for _, light := range []wax.Light{wax.UntoldLight, wax.WindowLight} {
		r := readingOfDrops(light, 0.1, 0.5, 40, 70)
		got, err := Combine(r, r, r)
		require.NoError(t, err)
		assert.InDelta(t, r.Drops[0].Colour.Cov[0][0], got.Colours[0].Cov[0][0], 1e-9)
		require.Len(t, got.Notes, 1)
		assert.Contains(t, got.Notes[0], "be the card turned or not")
	}
}

// What drops have alike tells of one drop by the others: a photograph that knows the
// level brings the drops right which it hardly sees itself.
func TestCombineUsesWhatDropsHaveAlike(t *testing.T) {
	level := readingOfDrops(wax.OvercastLight, 0.1, 3, 43, 73) // all too light by 3
	sure := readingOfDrops(wax.BlackLight, 0.1, 0, 40, 70)
	for i := range 3 { // sees the first drop only
		sure.Joint.SetSym(3+i, 3+i, 100)
	}
	got, err := Combine(level, sure)
	require.NoError(t, err)
	assert.InDelta(t, 70, got.Colours[1].Lab.L, 0.1)
	assert.Less(t, got.Colours[1].Cov[0][0], 0.1)
}

// Over many cards whose errors are drawn from their covariances, the true colour lies
// within the 95 % region as often as it should, by the quantiles of chi squared with
// three degrees of freedom: 0.95 at 7.815 (NIST/SEMATECH e-Handbook, 1.3.6.7.4).
func TestCombinedCovers(t *testing.T) {
	truth := []float64{30, 50, 70, 85}
	source := rand.NewPCG(3, 4)
	inside, all := 0, 0
	for range 400 {
		var pair [2]Reading
		for i := range pair {
			pair[i] = readingOfDrops([]wax.Light{wax.WindowLight, wax.OvercastLight}[i], 0.3, 0.5+0.7*float64(i), truth...)
			normal, ok := distmv.NewNormal(make([]float64, 12), pair[i].Joint, source)
			require.True(t, ok)
			for k, e := range normal.Rand(nil) {
				lab := &pair[i].Drops[k/3].Colour.Lab
				*[]*float64{&lab.L, &lab.A, &lab.B}[k%3] += e
			}
		}
		got, err := Combine(pair[0], pair[1])
		require.NoError(t, err)
		for i, c := range got.Colours {
			cov := mat.NewSymDense(3, []float64{c.Cov[0][0], c.Cov[0][1], c.Cov[0][2], 0, c.Cov[1][1], c.Cov[1][2], 0, 0, c.Cov[2][2]})
			var factor mat.Cholesky
			require.True(t, factor.Factorize(cov))
			miss := mat.NewVecDense(3, []float64{c.Lab.L - truth[i], c.Lab.A, c.Lab.B})
			var solved mat.VecDense
			require.NoError(t, factor.SolveVecTo(&solved, miss))
			if mat.Dot(miss, &solved) < 7.815 {
				inside++
			}
			all++
		}
	}
	assert.InDelta(t, 0.95, float64(inside)/float64(all), 0.025)
}

// Readings further apart than they say leave more doubt than either, not less.
func TestReadingsThatDisagreeLeaveDoubt(t *testing.T) {
	got, err := Combine(readingOfDrops(wax.WindowLight, 0.2, 0.1, 40, 60), readingOfDrops(wax.BlackLight, 0.2, 0.1, 44, 57))
	require.NoError(t, err)
	assert.Greater(t, math.Sqrt(got.Colours[0].Cov[0][0]), 1.0)
}

func TestCombineRefuses(t *testing.T) {
	day := readingOfDrops(wax.WindowLight, 0.2, 0.1, 40, 60)
	lamp := day
	lamp.UnderLamp = "it is yellow"
	fewer := readingOfDrops(wax.OvercastLight, 0.2, 0.1, 40)
	turned := readingOfDrops(wax.OvercastLight, 0.2, 0.1, 60, 40)
	for _, c := range []struct {
		other Reading
		says  string
	}{
		{lamp, "under a lamp and in daylight"},
		{fewer, "photograph 2 shows 1 drop, the first 2 drops"},
		{turned, "another card, or lies another way up"},
	} {
		_, err := Combine(day, c.other)
		var refusal *picture.Refusal
		require.ErrorAs(t, err, &refusal)
		assert.Contains(t, err.Error(), c.says)
		assert.NotEmpty(t, refusal.Do)
	}
	_, err := Combine(lamp, lamp)
	assert.NoError(t, err, "two under one lamp agree")
}
