package optics_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/optics"
)

// paint is one measured film: reflectances over its two cards and of the bare
// cards, 400 nm to 700 nm every 10 nm.
type paint map[string][]float64

// Real films over white and over black (Geldof et al. 2018, Heritage Science
// 6:17). Two backings give K/S and S·X of a band, and leave nothing over to
// check. But S·X of a film runs smoothly over the wavelengths, also where dye
// makes K/S leap. So every other band gives up both readings, the bands between
// take S·X from their neighbours and K/S from the white card alone, and their
// reading over the black card, used nowhere, is predicted.
//
// Zinc white nearly hides the cards, chalk in oil hardly does, chalk with
// cobalt blue has K/S from 0.1 to 3. The refractive index of the paint is not
// stated; 1.5 is taken for oil, and makes no difference that shows here.
func TestMeasuredFilmsPredictTheBlackCard(t *testing.T) {
	paints := readPaints(t)
	surface := optics.SurfaceOf(1.5)
	for name, id := range map[string]string{
		"zinc white": "07A", "zinc white in linseed oil": "07B", "chalk": "17A", "chalk and cobalt blue": "17F",
	} {
		inner := func(reading string, band int) float64 { return surface.Inside(paints[id][reading][band]) }
		thickness := func(band int) float64 {
			return thicknessFromTwoBackings(
				inner("over_white", band), inner("bare_white", band), inner("over_black", band), inner("bare_black", band))
		}
		// From 510 nm on; below, zinc white hides both cards.
		for band := 11; band < 30; band += 2 {
			sx := math.Sqrt(thickness(band-1) * thickness(band+1))
			ks := ksOfFilm(inner("over_white", band), sx, inner("bare_white", band))
			predicted := surface.Outside(optics.Film(ks, sx, inner("bare_black", band)))
			// The bare black card itself reads up to 0.002 apart from film to
			// film; the two cards move these films by up to 0.77.
			assert.InDelta(t, paints[id]["over_black"][band], predicted, 0.003, "%s at %d nm", name, 400+10*band)
		}
	}
}

// thicknessFromTwoBackings returns S·X of a film that has reflectance r1 over
// g1 and r2 over g2. Kubelka's solution says, for either,
//
//	q (R - g) = 1 + R g - a (R + g),   q = b coth bSX
//
// which is linear in a and q.
func thicknessFromTwoBackings(r1, g1, r2, g2 float64) float64 {
	d1, d2 := r1-g1, r2-g2
	a := ((1+r1*g1)*d2 - (1+r2*g2)*d1) / ((r1+g1)*d2 - (r2+g2)*d1)
	q := (1 + r1*g1 - a*(r1+g1)) / d1
	b := math.Sqrt(a*a - 1)
	return math.Atanh(b/q) / b
}

// ksOfFilm returns the K/S below 100 that gives a film the reflectance r, which falls
// as K/S rises.
func ksOfFilm(r, sx, backing float64) float64 {
	lo, hi := 0.0, 100.0
	for range 60 {
		if mid := (lo + hi) / 2; optics.Film(mid, sx, backing) > r {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func readPaints(t *testing.T) map[string]paint {
	f, err := os.Open(filepath.Join("..", "..", "..", "shared", "refdata", "tints", "measured_tints_over_white_and_black.csv"))
	if err != nil {
		t.Skip("the measured paint films are not on this machine")
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	paints := map[string]paint{}
	for _, row := range rows[1:] {
		id, reading := row[0], row[7]
		if paints[id] == nil {
			paints[id] = paint{}
		}
		for _, cell := range row[8:] {
			r, err := strconv.ParseFloat(cell, 64)
			require.NoError(t, err)
			paints[id][reading] = append(paints[id][reading], r)
		}
	}
	return paints
}
