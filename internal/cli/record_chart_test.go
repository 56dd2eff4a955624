package cli_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"setshade/internal/chart"
	"setshade/internal/cli"
	"setshade/internal/plan"
	"setshade/internal/rank"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// spectraOf reads columns of a published table of spectra, in the rows that keep keeps.
// The first column asked for follows that of the wavelengths.
func spectraOf(t *testing.T, first, count int, keep func(row []string) bool, path ...string) []spectrum.Spectrum {
	file, err := os.Open(filepath.Join(append([]string{"..", "..", "..", "shared", "refdata"}, path...)...))
	if err != nil {
		t.Skip("the published spectra are not here")
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	out := make([]spectrum.Spectrum, count)
	for _, row := range rows[1:] {
		nm, err := strconv.ParseFloat(row[first-1], 64)
		require.NoError(t, err)
		band := int(nm-spectrum.WavelengthNM(0)) / 10
		if !keep(row) || band >= spectrum.Bands || nm != spectrum.WavelengthNM(band) {
			continue
		}
		for k := range out {
			out[k][band], err = strconv.ParseFloat(row[first+k], 64)
			require.NoError(t, err)
		}
	}
	return out
}

func everyRow([]string) bool { return true }

// chartInLight is a case of the test below: a chart beside the card under a lamp.
type chartInLight struct {
	name   string
	sensor *scene.Sensor // nil for a camera that sees as an eye does, in daylight
}

// chartsInLight are lights of CIE 15:2018 before a camera whose sensitivities Darrodi,
// Finlayson, Goodman and Mackiewicz measured (2015, J. Opt. Soc. Am. A 32(3)).
func chartsInLight(t *testing.T) []chartInLight {
	camera := "" // the first of the table
	ofCamera := func(row []string) bool {
		if camera == "" {
			camera = row[0]
		}
		return row[0] == camera
	}
	rgb := spectraOf(t, 2, 3, ofCamera, "camera", "npl_dslr_darrodi2015_long.csv")
	powers := spectraOf(t, 1, 17, everyRow, "cie", "cie_illuminants_5nm_380_780.csv")
	cases := []chartInLight{{"daylight, the eye's", nil}}
	for _, lamp := range []struct {
		name   string
		column int
	}{{"daylight D65, a camera's", 3}, {"white LED B3, a camera's", 16}, {"warm lamp A, a camera's", 0}} {
		cases = append(cases, chartInLight{lamp.name, &scene.Sensor{Red: rgb[0], Green: rgb[1], Blue: rgb[2], Lamp: powers[lamp.column]}})
	}
	return cases
}

// unavoidable is how far drops would be off if the camera told the light of everything
// exactly and the chart's colours were met as well as they can be: by root polynomials
// of the second degree (Finlayson, Mackiewicz and Hurlbert 2015), the card's white held.
// It is what a lamp and a camera that do not see as an eye does in daylight make of dyes
// that are none of the chart's pigments.
func (c chartInLight) unavoidable(t *testing.T, patches []spectrum.Spectrum, drops []scene.Truth) []float64 {
	if c.sensor == nil {
		return []float64{0}
	}
	card := scene.WhiteCard()
	terms := func(r spectrum.Spectrum) []float64 {
		var v [3]float64
		for k, s := range [3]spectrum.Spectrum{c.sensor.Red, c.sensor.Green, c.sensor.Blue} {
			white := 0.0
			for i := range r {
				v[k] += s[i] * c.sensor.Lamp[i] * r[i]
				white += s[i] * c.sensor.Lamp[i] * card[i]
			}
			v[k] /= white
		}
		return []float64{v[0], v[1], v[2], math.Sqrt(v[0] * v[1]), math.Sqrt(v[1] * v[2]), math.Sqrt(v[0] * v[2])}
	}
	seen, wanted := mat.NewDense(len(patches)+1, 6, nil), mat.NewDense(len(patches)+1, 3, nil)
	for i, r := range append(patches[:len(patches):len(patches)], card) {
		xyz := spectrum.D65.XYZ(r)
		weight := math.Pow(xyz.Y, -2.0/3) // as L* weighs Y
		if i == len(patches) {
			weight = 100
		}
		row := terms(r)
		for k := range row {
			row[k] *= weight
		}
		seen.SetRow(i, row)
		wanted.SetRow(i, []float64{xyz.X * weight, xyz.Y * weight, xyz.Z * weight})
	}
	var mixing mat.Dense
	require.NoError(t, mixing.Solve(seen, wanted))
	var off []float64
	for _, d := range drops {
		var xyz mat.Dense
		xyz.Mul(mat.NewDense(1, 6, terms(d.Reflectance)), &mixing)
		off = append(off, spectrum.DE00(d.Lab, spectrum.XYZ{X: xyz.At(0, 0), Y: xyz.At(0, 1), Z: xyz.At(0, 2)}.Lab(spectrum.D65.White())))
	}
	return off
}

// photographed is a card with a chart beside it in a folder with its plan, and a shelf
// with what is on it.
type photographed struct {
	truth scene.Photo
	run   func(args ...string) string
	photo string
	// own is a file of the chart's own colours.
	own string
}

func (c chartInLight) photograph(t *testing.T, soy *scene.Wax, seed uint64, patches *[chart.Patches]spectrum.Spectrum) photographed {
	dir := t.TempDir()
	p := photographed{photo: filepath.Join(dir, "card.jpg"), own: filepath.Join(dir, "chart.csv")}
	p.run = func(args ...string) string {
		var out, problems bytes.Buffer
		env := cli.Env{
			Stdin: bytes.NewReader(nil), Stdout: &out, Stderr: &problems, System: "linux", OpenStore: store.Open,
			Now: func() time.Time { return time.Unix(0, 0) },
			Getenv: func(key string) string {
				return map[string]string{"SETSHADE_STORE": filepath.Join(dir, "store.db")}[key]
			},
		}
		require.Zero(t, cli.Run(context.Background(), env, args), problems.String())
		return out.String()
	}
	p.run("wax", "add", "Harrow Soy")
	sheet := scene.Sheet{Shelf: scene.RandomShelf(soy, seed, 3), Card: scene.WhiteCard(), State: wax.SetState, Chart: patches}
	written := plan.Plan{Wax: "Harrow Soy", State: wax.SetState}
	for _, dye := range sheet.Shelf.Dyes {
		p.run("dye", "add", dye.Name, "--form", "powder")
		row := []wax.Recipe{nil}
		written.Drops = append(written.Drops, plan.Drop{Number: len(written.Drops) + 1})
		for _, dose := range []float64{0.1, 0.4, 1.5} {
			row = append(row, wax.Recipe{{Dye: dye.Name, DoseGPerKg: dose}})
			written.Drops = append(written.Drops, plan.Drop{
				Number: len(written.Drops) + 1, Parts: []plan.Amount{{Dye: dye.Name, Value: dose, Unit: plan.Gram}},
			})
		}
		sheet.Rows, written.Rows = append(sheet.Rows, row), append(written.Rows, len(row))
	}
	p.truth = sheet.Photograph(scene.Options{
		Seed: seed, WidthPx: 1400, HeightPx: 1050, RotationDegrees: 3, TiltDegrees: 6, LightRatio: 1.4, ToneCurve: 0.3, Sensor: c.sensor,
	})
	written.Card = p.truth.Card
	var file bytes.Buffer
	require.NoError(t, p.truth.WriteJPEG(&file, 92))
	colours := "# D65\npatch,L,a,b\n"
	for i, lab := range p.truth.Chart {
		colours += fmt.Sprintf("%d,%.2f,%.2f,%.2f\n", i+1, lab.L, lab.A, lab.B)
	}
	for name, text := range map[string]string{p.photo: file.String(), p.own: colours, filepath.Join(dir, "card.plan"): plan.Format(written)} {
		require.NoError(t, os.WriteFile(name, []byte(text), 0o666))
	}
	return p
}

// misses records the photograph and returns how far its drops are off, those left out
// that sRGB cannot hold, and what the correction leaves at patches held out.
func (p photographed) misses(t *testing.T, flags ...string) (off []float64, heldOut float64) {
	var told struct {
		Cards []struct {
			Swatches   []struct{ Lab spectrum.Lab }
			Correction struct {
				Kind    string
				HeldOut float64 `json:"held_out_de00"`
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(p.run(append([]string{"record", p.photo, "--dry-run", "--json"}, flags...)...)), &told))
	require.Len(t, told.Cards[0].Swatches, len(p.truth.Drops))
	assert.Equal(t, len(flags) > 0, told.Cards[0].Correction.Kind == "24-patch chart")
	for i, s := range told.Cards[0].Swatches {
		if truth := p.truth.Drops[i].Lab; !truth.Display().Clipped {
			off = append(off, spectrum.DE00(truth, s.Lab))
		}
	}
	return off, told.Cards[0].Correction.HeldOut
}

// A chart beside a card of drops, recorded as a maker does: by its own colours, and by
// those published for charts of its age. The chart has the mean reflectances of 30
// charts made before November 2014 (D. Pascale), the drops are rendered by radiative
// transfer, and the camera bends its tones.
//
// Owed is a median dE00 of 0.7, and 1.5 for 95 %. That holds of a camera that sees as an
// eye does. One that does not, under a lamp, tells some dyes wrong whatever is done with
// what it says (see unavoidable); the reading's own error comes on top, and is held to
// what is owed.
func TestAccuracyOfRecordWithAChart(t *testing.T) {
	if testing.Short() {
		t.Skip("photographs are rendered and read")
	}
	var patches [chart.Patches]spectrum.Spectrum
	copy(patches[:], spectraOf(t, 1, chart.Patches, everyRow, "chart", "cc24_babelcolor_average_380_730_10nm.csv"))
	soy := scene.NewWax(scene.Soy)
	for _, c := range chartsInLight(t) {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var without, own, published, least []float64
			var ownHeldOut, publishedHeldOut float64
			for seed := uint64(1); seed <= 2; seed++ {
				p := c.photograph(t, soy, seed, &patches)
				off, _ := p.misses(t)
				without = append(without, off...)
				off, ownHeldOut = p.misses(t, "--chart", p.own)
				own = append(own, off...)
				off, publishedHeldOut = p.misses(t, "--chart", string(chart.Before2014))
				published = append(published, off...)
				least = append(least, c.unavoidable(t, patches[:], p.truth.Drops)...)
			}
			middle, most := rank.Median(least), rank.Quantile(least, 0.95)
			t.Logf("%d drops, median and 95 %%: %.2f, %.2f without the chart; %.2f, %.2f by its own colours (%.1f at patches held out); %.2f, %.2f by the published (%.1f); unavoidable %.2f, %.2f",
				len(own), rank.Median(without), rank.Quantile(without, 0.95), rank.Median(own), rank.Quantile(own, 0.95), ownHeldOut,
				rank.Median(published), rank.Quantile(published, 0.95), publishedHeldOut, middle, most)
			assert.LessOrEqual(t, rank.Median(own), 0.7+middle)
			assert.LessOrEqual(t, rank.Quantile(own, 0.95), 1.5+most)
			if c.sensor != nil { // else there is nothing but tones to set right, and charts differ
				assert.Less(t, rank.Median(published), rank.Median(without))
			}
		})
	}
}
