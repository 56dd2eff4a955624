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

// TestAccuracyWithoutHazeInCoarseFiles reads few drops of deep dyes, which leave a
// channel next to nothing, from files of low quality. The chroma of a whole drop is
// rounded there; haze that is given the colour of the wax for it looks far stronger than
// it is, and drops of L* 17 to 50 then read up to 3.6 L* too dark.
func TestAccuracyWithoutHazeInCoarseFiles(t *testing.T) {
	t.Parallel()
	const pinkAndViolet = 7
	shelf := scene.RandomShelf(scene.NewWax(scene.Soy), pinkAndViolet, 2)
	var rows [][]wax.Recipe
	for _, dye := range shelf.Dyes {
		row := []wax.Recipe{nil}
		for _, dose := range []float64{0.3, 1, 3} {
			row = append(row, wax.Recipe{{Dye: dye.Name, DoseGPerKg: dose}})
		}
		rows = append(rows, row)
	}
	held := 0
	var de []float64
	for seed := uint64(1); seed <= 2; seed++ {
		truth := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: wax.SetState, Rows: rows}.Photograph(scene.Options{
			Seed: seed, RotationDegrees: 10*float64(seed) - 7, TiltDegrees: 8 * float64(seed),
		})
		for _, quality := range []int{60, 70, 80, 85} {
			var file bytes.Buffer
			require.NoError(t, truth.WriteJPEG(&file, quality))
			r, err := photo.Read(file.Bytes(), photo.Expect{Rows: []int{4, 4}, Card: truth.Card})
			require.NoError(t, err)
			told := ""
			for i, d := range r.Drops {
				lab := truth.Drops[i].Lab
				de = append(de, spectrum.DE00(d.Colour.Lab, lab))
				told += fmt.Sprintf(" %.0f %+.2f", lab.L, d.Colour.Lab.L-lab.L)
				if holds(t, d.Colour, lab) {
					held++
				}
			}
			t.Logf("JPEG %d: L* and what it is read off by:%s", quality, told)
		}
	}
	t.Logf("dE00 median %.2f, 95 %% %.2f, worst %.2f; %d of %d true colours inside the 95 %% region of the reading",
		share(de, 0.5), share(de, 0.95), share(de, 1), held, len(de))
	assert.LessOrEqual(t, share(de, 0.5), 0.7)
	assert.LessOrEqual(t, share(de, 0.95), 1.5)
	assert.GreaterOrEqual(t, float64(held), 0.92*float64(len(de)))
}
