package calibrate_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// tint is one measured film: share of colorant in zinc white, by weight, and the
// colours over its two cards and of these.
type tint struct {
	colorant     string
	share        float64
	pure, plain  bool // no white in it; nothing else in it
	colour, card map[string]spectrum.Lab
}

// Real colorants let down with zinc white (Geldof et al. 2018, Heritage Science
// 6:17), learned from their colours alone, as camera and reader would give them.
// The films have nothing to do with wax: pigments and lakes in oil, the lakes far
// from opaque, with few shares and two backings. The shares held out lie far
// beyond those learned: from 10 % to 50 % and, as in a rescue, from 50 % to 10 %.
func TestMeasuredTints(t *testing.T) {
	tints := readTints(t)
	sample := func(n tint, over string) calibrate.Sample {
		s := calibrate.Sample{Card: n.card[over], Colour: spectrum.Measured{Lab: n.colour[over]}}
		for i := range 3 {
			s.Colour.Cov[i][i] = 0.3 * 0.3
		}
		if n.share > 0 {
			s.Recipe = wax.Recipe{{Dye: n.colorant, DoseGPerKg: n.dose()}}
		}
		return s
	}
	both := func(n tint) []calibrate.Sample {
		return []calibrate.Sample{sample(n, "over_white"), sample(n, "over_black")}
	}
	var white tint
	byColorant := map[string][]tint{}
	for _, n := range tints {
		switch {
		case n.colorant == "ZincWhite" && n.plain:
			n.share = 0
			white = n
		case n.plain && !n.pure:
			byColorant[n.colorant] = append(byColorant[n.colorant], n)
		}
	}
	ofWhite := wax.Wax{Name: "zinc white in oil", RefractiveIndex: 1.5}
	misses := map[string]*misses{"stronger": {}, "dilution": {}}
	tried := 0
	for colorant, shares := range byColorant {
		for _, from := range shares {
			m, err := calibrate.Learn(ofWhite, append(both(white), both(from)...), calibrate.WithForms(map[string]wax.Form{colorant: wax.Pigment}))
			require.NoError(t, err)
			for _, to := range shares {
				if to.share == from.share || to.share > 60 || from.share > 60 {
					continue
				}
				way := "stronger"
				if to.share < from.share {
					way = "dilution"
				}
				p, err := m.Predict(wax.Recipe{{Dye: colorant, DoseGPerKg: to.dose()}}, calibrate.View{Card: to.card["over_white"]})
				require.NoError(t, err)
				miss := spectrum.DE00(p.Lab, to.colour["over_white"])
				t.Logf("%-18s from %4.1f %% to %4.1f %%: %5.1f dE00 (colours %5.1f apart, rms expected %.1f)", colorant, from.share, to.share, miss,
					spectrum.DE00(from.colour["over_white"], to.colour["over_white"]), p.UncertaintyDE00())
				misses[way].de00 = append(misses[way].de00, miss)
				tried++
			}
		}
	}
	require.Greater(t, tried, 8)
	for way, m := range misses {
		t.Logf("%s: %d held-out shares, median %.1f, worst %.1f dE00", way, len(m.de00), m.quantile(0.5), m.quantile(1))
	}
	assert.Less(t, misses["dilution"].quantile(0.5), 8.0, "from one share each, over a leap of five or more; see the log")
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
	byID := map[string]*tint{}
	var order []string
	for _, row := range rows[1:] {
		id, reading := row[0], row[7]
		if byID[id] == nil {
			share, err := strconv.ParseFloat(row[3], 64)
			require.NoError(t, err)
			byID[id] = &tint{
				colorant: row[2], share: share, pure: share > 98, plain: row[6] == "",
				colour: map[string]spectrum.Lab{}, card: map[string]spectrum.Lab{},
			}
			order = append(order, id)
		}
		// The readings run from 400 to 700 nm; their ends stand for the rest.
		var r spectrum.Spectrum
		for i := range r {
			cell := min(max(i-2, 0), 30)
			v, err := strconv.ParseFloat(row[8+cell], 64)
			require.NoError(t, err)
			r[i] = v
		}
		lab := spectrum.D65.Lab(r)
		switch reading {
		case "bare_white", "bare_black":
			byID[id].card["over"+reading[len("bare"):]] = lab
		default:
			byID[id].colour[reading] = lab
		}
	}
	var out []tint
	for _, id := range order {
		out = append(out, *byID[id])
	}
	return out
}
