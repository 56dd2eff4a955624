package photo_test

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"setshade/internal/photo"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// chiSquare95 is the 95 % point of chi-square with three degrees of freedom
// (NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.4).
const chiSquare95 = 7.815

// holds reports whether a colour lies inside the 95 % region of a reading.
func holds(t *testing.T, read spectrum.Measured, truth spectrum.Lab) bool {
	t.Helper()
	cov, miss := mat.NewSymDense(3, nil), mat.NewVecDense(3, nil)
	for i, v := range read.Lab.Vector() {
		miss.SetVec(i, v-truth.Vector()[i])
		for k := range i + 1 {
			cov.SetSym(i, k, read.Cov[i][k])
		}
	}
	var factor mat.Cholesky
	require.True(t, factor.Factorize(cov))
	var solved mat.VecDense
	require.NoError(t, factor.SolveVecTo(&solved, miss))
	return mat.Dot(miss, &solved) <= chiSquare95
}

// TestAccuracyWithoutHaze reads drops from pale to dark under a window that is not mirrored
// at all, as usual, and twice as strongly. The light around its mirror image lies over
// all drops; left in, it makes those below L* 45 up to 1 and 2.2 L* too light. The
// truth is radiative transfer. The lobe that the scene draws is, like the reader's, a
// normal distribution, about another measure of lean.
func TestAccuracyWithoutHaze(t *testing.T) {
	t.Parallel()
	soy := scene.NewWax(scene.Soy)
	held, all := 0, 0
	for mirrored, most := range map[float64]float64{-1: 0.3, 1: 0.4, 2: 1.1} {
		for seed := uint64(1); seed <= 2; seed++ {
			shelf := scene.RandomShelf(soy, seed, 3)
			rows, want := ladders(shelf)
			truth := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: wax.SetState, Rows: rows}.Photograph(scene.Options{
				Seed: seed, RotationDegrees: 10 * float64(seed), TiltDegrees: 4 * float64(seed), Highlight: mirrored,
			})
			var file bytes.Buffer
			require.NoError(t, truth.WriteJPEG(&file, 90))
			want.Card = truth.Card
			r, err := photo.Read(file.Bytes(), want)
			require.NoError(t, err)
			told := ""
			for i, d := range r.Drops {
				lab := truth.Drops[i].Lab
				if outsideSRGB(lab) || noted(d, "colour space") {
					continue
				}
				all++
				if holds(t, d.Colour, lab) {
					held++
				}
				off := d.Colour.Lab.L - lab.L
				told += fmt.Sprintf(" %.0f %+.2f", lab.L, off)
				if lab.L < 45 {
					assert.InDelta(t, 0, off, most, "mirrored %g, L* %.0f", mirrored, lab.L)
				}
			}
			t.Logf("mirrored %2g: L* and what it is read off by:%s", mirrored, told)
		}
	}
	t.Logf("%d of %d true colours inside the 95 %% region of the reading", held, all)
	assert.GreaterOrEqual(t, float64(held), 0.92*float64(all))
}
