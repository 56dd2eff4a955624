package spectrum_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
)

// The 24-patch chart: mean reflectances of 30 charts under D50 against the xyY
// that their publisher (D. Pascale) tables for them. Reflectances have three
// decimals, so that dark patches are known to a few hundredths of their value.
func TestChartReflectancesGiveTheirPublishedColour(t *testing.T) {
	reflectances := readTable(t, "chart", "cc24_babelcolor_average_380_730_10nm.csv")
	published := readTable(t, "chart", "cc24_reference_values_D50.csv").columns
	patches := reflectances.headings[1:]
	require.Len(t, patches, 24)
	for i, patch := range patches {
		got := spectrum.D50.XYZ(spectrum.Spectrum(reflectances.columns[patch]))
		x, y := chromaticity(got)
		assert.InDelta(t, published["babelcolor_x_D50"][i], x, 0.001, patch)
		assert.InDelta(t, published["babelcolor_y_D50"][i], y, 0.001, patch)
		assert.InDelta(t, published["babelcolor_Y_D50"][i], got.Y, 0.0003, patch)

		want := fromXYY(published["babelcolor_x_D50"][i], published["babelcolor_y_D50"][i], published["babelcolor_Y_D50"][i])
		white := spectrum.D50.White()
		assert.Less(t, spectrum.DE00(want.Lab(white), got.Lab(white)), 0.2, patch)
	}
}

// The same reflectances against the Lab that the chart's maker published before
// November 2014. Those are other charts, of other years: the two publications
// lie up to 1.1 dE00 apart (white and purple), and we may add 0.2.
func TestChartReflectancesComeNearTheMakersLab(t *testing.T) {
	reflectances := readTable(t, "chart", "cc24_babelcolor_average_380_730_10nm.csv")
	published := readTable(t, "chart", "cc24_reference_values_D50.csv").columns
	white := spectrum.D50.White()
	for i, patch := range reflectances.headings[1:] {
		maker := lab(published["before2014_L_D50"][i], published["before2014_a_D50"][i], published["before2014_b_D50"][i])
		tabled := fromXYY(published["babelcolor_x_D50"][i], published["babelcolor_y_D50"][i], published["babelcolor_Y_D50"][i])
		apart := spectrum.DE00(maker, tabled.Lab(white))
		got := spectrum.DE00(maker, spectrum.D50.Lab(spectrum.Spectrum(reflectances.columns[patch])))
		assert.InDelta(t, apart, got, 0.2, patch)
		assert.Less(t, got, 1.3, patch)
	}
}

// Four patches of the chart as its maker published them twice, as xyY and as
// Lab, both for D50 (values in use before November 2014). The Lab is measured
// more finely than xyY is printed.
func TestPublishedChartValuesAgree(t *testing.T) {
	white := spectrum.D50.White()
	for name, p := range map[string]struct {
		x, y, Y float64
		lab     spectrum.Lab
	}{
		"dark skin": {0.4316, 0.3777, 0.1008, lab(37.986, 13.555, 14.059)},
		"foliage":   {0.3703, 0.4499, 0.1325, lab(43.139, -13.095, 21.905)},
		"red":       {0.5686, 0.3303, 0.1257, lab(42.101, 53.378, 28.190)},
		"yellow":    {0.4697, 0.4734, 0.5981, lab(81.733, 4.039, 79.819)},
	} {
		assert.Less(t, spectrum.DE00(p.lab, fromXYY(p.x, p.y, p.Y).Lab(white)), 0.1, name)
	}
}

func fromXYY(x, y, luminance float64) spectrum.XYZ {
	return spectrum.XYZ{X: x / y * luminance, Y: luminance, Z: (1 - x - y) / y * luminance}
}
