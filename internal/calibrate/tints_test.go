package calibrate_test

import (
	"cmp"
	"encoding/csv"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// tint is one measured film: share of colorant in zinc white, by weight, and the
// colours over its two cards and of these.
type tint struct {
	colorant    string
	share       float64
	pure, plain bool // no white in it; nothing else in it
	card        map[string]spectrum.Lab
	colour      map[string]spectrum.Measured
}

// Real colorants let down with zinc white (Geldof et al. 2018, Heritage Science
// 6:17), learned from their colours alone, as camera and reader would give them.
// The films have nothing to do with wax: pigments and lakes in oil, the lakes far
// from opaque, with few shares and two backings. From one share alone the others
// lie far beyond what was learned: from 10 % to 50 % and, as in a rescue, from 50 %
// to 10 %. Where there are three shares or more, each between two others is held
// out and learned from the rest, as in a ladder. From one share, the interval is
// left by a Prussian blue learned at 50 % alone, where it is black, and by lakes
// that far from cover; the log shows them.
func TestMeasuredTints(t *testing.T) {
	tints := readTints(t)
	white := tints[slices.IndexFunc(tints, func(n tint) bool { return n.colorant == "ZincWhite" && n.pure })]
	white.share = 0
	byColorant := map[string][]tint{}
	for _, n := range tints {
		if n.plain && !n.pure && n.share <= 60 {
			byColorant[n.colorant] = append(byColorant[n.colorant], n)
		}
	}
	var table record
	for _, colorant := range slices.Sorted(maps.Keys(byColorant)) {
		shares := byColorant[colorant]
		slices.SortFunc(shares, func(a, b tint) int { return cmp.Compare(a.share, b.share) })
		try := func(kind string, to tint, from ...tint) {
			s := tintFrom(t, append([]tint{white}, from...), to)
			truth := to.colour["over_white"].Lab
			t.Logf("%-18s %-40s to %4.1f %%: %5.1f dE00 (95 %% within %.1f)", colorant, kind, to.share, spectrum.DE00(s.Lab, truth), s.Within95)
			table.add(kind, s, truth)
		}
		for i, from := range shares {
			for k, to := range shares {
				switch {
				case k > i:
					try("from one share, stronger", to, from)
				case k < i:
					try("from one share, dilution", to, from)
				}
			}
			if i > 0 && i < len(shares)-1 {
				try("between shares learned", from, append(slices.Clone(shares[:i]), shares[i+1:]...)...)
			}
		}
	}
	table.log(t)
	assert.Less(t, table.by["from one share, dilution"].quantile(0.5), 8.0, "from one share each, over a leap of five or more; see the log")
	assert.Less(t, table.by["between shares learned"].quantile(0.5), table.by["from one share, dilution"].quantile(0.5), "a ladder that interpolates")
}

// tintFrom learns a colorant from films and predicts another over white.
func tintFrom(t *testing.T, from []tint, to tint) shade.Shade {
	var samples []calibrate.Sample
	for _, n := range from {
		for _, over := range []string{"over_white", "over_black"} {
			s := calibrate.Sample{Card: n.card[over], Colour: n.colour[over]}
			if n.share > 0 {
				s.Recipe = wax.Recipe{{Dye: to.colorant, DoseGPerKg: n.dose()}}
			}
			samples = append(samples, s)
		}
	}
	inOil := wax.Wax{Name: "zinc white in oil", RefractiveIndex: 1.48}
	m, err := calibrate.Learn(inOil, samples, calibrate.WithForms(map[string]wax.Form{to.colorant: wax.Pigment}))
	require.NoError(t, err)
	m.Explore(samples, 20, 1)
	s, err := shade.Of(m, wax.Recipe{{Dye: to.colorant, DoseGPerKg: to.dose()}}, calibrate.View{Card: to.card["over_white"]})
	require.NoError(t, err)
	return s
}

// dose is the colorant in an arbitrary unit over the white; absorption and
// scattering add in it.
func (n tint) dose() float64 { return 10 * n.share / (100 - n.share) }

func readTints(t *testing.T) []tint {
	f, err := os.Open(filepath.Join("..", "..", "..", "shared", "refdata", "tints", "measured_tints_over_white_and_black.csv"))
	if err != nil {
		t.Skip("the measured paint films are not on this machine")
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	mirrored := darkest(t, rows[1:])
	byID := map[string]*tint{}
	var order []string
	for _, row := range rows[1:] {
		id, reading := row[0], row[7]
		if byID[id] == nil {
			share, err := strconv.ParseFloat(row[3], 64)
			require.NoError(t, err)
			byID[id] = &tint{
				colorant: row[2], share: share, pure: share > 98, plain: row[6] == "",
				colour: map[string]spectrum.Measured{}, card: map[string]spectrum.Lab{},
			}
			if black, ok := strings.CutPrefix(row[6], "BoneBlack="); ok && row[2] == "ZincWhite" {
				n := byID[id]
				n.colorant, n.plain = "BoneBlack", true
				n.share, err = strconv.ParseFloat(black, 64)
				require.NoError(t, err)
			}
			order = append(order, id)
		}
		// The readings run from 400 to 700 nm; their ends stand for the rest.
		var r spectrum.Spectrum
		for i := range r {
			cell := min(max(i-2, 0), 30)
			v, err := strconv.ParseFloat(row[8+cell], 64)
			require.NoError(t, err)
			r[i] = v - mirrored
		}
		lab := spectrum.D65.Lab(r)
		grey := spectrum.D65.Lab(r.Map(func(v float64) float64 { return v + mirroredError })).Vector()
		switch reading {
		case "bare_white", "bare_black":
			byID[id].card["over"+reading[len("bare"):]] = lab
		default:
			m := spectrum.Measured{Lab: lab}
			for i, v := range lab.Vector() {
				for k, u := range lab.Vector() {
					m.Cov[i][k] = (grey[i] - v) * (grey[k] - u)
				}
				m.Cov[i][i] += 0.3 * 0.3
			}
			byID[id].colour[reading] = m
		}
	}
	var out []tint
	for _, id := range order {
		out = append(out, *byID[id])
	}
	return out
}

// mirroredError is how far films differ in the light they mirror: the blackest
// read 3.3 to 4.2 %. It counts most in dark films.
const mirroredError = 0.004

// darkest is the lowest reading of all films. The blackest of them, at 3 to 4 %,
// stand at what a surface of oil mirrors (Fresnel: 3.7 % at an index of 1.48): so
// mirrored light is in these readings, which a reader of photographs leaves out,
// and it is taken off them.
func darkest(t *testing.T, rows [][]string) float64 {
	least := 1.0
	for _, row := range rows {
		for _, cell := range row[8:] {
			v, err := strconv.ParseFloat(cell, 64)
			require.NoError(t, err)
			least = min(least, v)
		}
	}
	return 0.98 * least
}
