package chart

import "setshade/internal/spectrum"

// Patches is how many patches the chart has: six across, four down, numbered row by
// row from the dark brown one (McCamy, Marcus and Davidson 1976, "A color-rendition
// chart", J. Appl. Photogr. Eng. 2(3)).
const Patches = 24

// Edition says which charts published colours belong to.
type Edition string

// The editions. The chart's maker changed its pigments in November 2014 and
// published new colours.
const (
	Before2014 Edition = "before-2014-11"
	After2014  Edition = "after-2014-11"
)

// Editions are all there are, the newest first.
func Editions() []Edition { return []Edition{After2014, Before2014} }

// IsKnown reports whether colours are published for the edition.
func (e Edition) IsKnown() bool { return e == Before2014 || e == After2014 }

// Made says when the charts of the edition were made. An unknown edition panics.
func (e Edition) Made() string {
	switch e {
	case Before2014:
		return "before November 2014"
	case After2014:
		return "from November 2014 on"
	}
	panic("chart: unknown edition " + string(e))
}

// Colours are the colours of the patches under D65 and for the 2° observer, as the
// chart's maker published them for D50, adapted by the linear Bradford transform
// (ICC.1:2022 annex E). An unknown edition panics.
//
// The transform moves colours as an eye would see them, not as the other light makes
// them: for the mean reflectances of the chart it lies 0.5 dE00 from them in the
// median, and 1.4 at most. The published reflectances are of the older charts
// only, so that both editions go the same way.
func (e Edition) Colours() []spectrum.Lab {
	table := &after2014
	switch e {
	case Before2014:
		table = &before2014
	case After2014:
	default:
		panic("chart: unknown edition " + string(e))
	}
	d50, d65 := spectrum.D50.White(), spectrum.D65.White()
	out := make([]spectrum.Lab, Patches)
	for i, v := range table {
		out[i] = spectrum.LabOf(v).XYZ(d50).Adapt(d50, d65).Lab(d65)
	}
	return out
}

// after2014 are L*, a* and b* under D50, 2° observer, of charts made since November
// 2014. Source: the chart maker's published values.
var after2014 = [Patches][3]float64{
	{37.54, 14.37, 14.92},   // dark skin
	{64.66, 19.27, 17.5},    // light skin
	{49.32, -3.82, -22.54},  // blue sky
	{43.46, -12.74, 22.72},  // foliage
	{54.94, 9.61, -24.79},   // blue flower
	{70.48, -32.26, -0.37},  // bluish green
	{62.73, 35.83, 56.5},    // orange
	{39.43, 10.75, -45.17},  // purplish blue
	{50.57, 48.64, 16.67},   // moderate red
	{30.1, 22.54, -20.87},   // purple
	{71.77, -24.13, 58.19},  // yellow green
	{71.51, 18.24, 67.37},   // orange yellow
	{28.37, 15.42, -49.8},   // blue
	{54.38, -39.72, 32.27},  // green
	{42.43, 51.05, 28.62},   // red
	{81.8, 2.67, 80.41},     // yellow
	{50.63, 51.28, -14.12},  // magenta
	{49.57, -29.71, -28.32}, // cyan
	{95.19, -1.03, 2.93},    // white, 0.05 density
	{81.29, -0.57, 0.44},    // grey, 0.23
	{66.89, -0.75, -0.06},   // grey, 0.44
	{50.76, -0.13, 0.14},    // grey, 0.70
	{35.63, -0.46, -0.48},   // grey, 1.05
	{20.64, 0.07, -0.46},    // black, 1.50
}

// before2014 are those of charts made before. Source: the chart maker's published
// values, as tabled by D. Pascale.
var before2014 = [Patches][3]float64{
	{37.986, 13.555, 14.059},   // dark skin
	{65.711, 18.13, 17.81},     // light skin
	{49.927, -4.88, -21.905},   // blue sky
	{43.139, -13.095, 21.905},  // foliage
	{55.112, 8.844, -25.399},   // blue flower
	{70.719, -33.397, -0.199},  // bluish green
	{62.661, 36.067, 57.096},   // orange
	{40.02, 10.41, -45.964},    // purplish blue
	{51.124, 48.239, 16.248},   // moderate red
	{30.325, 22.976, -21.587},  // purple
	{72.532, -23.709, 57.255},  // yellow green
	{71.941, 19.363, 67.857},   // orange yellow
	{28.778, 14.179, -50.297},  // blue
	{55.261, -38.342, 31.37},   // green
	{42.101, 53.378, 28.19},    // red
	{81.733, 4.039, 79.819},    // yellow
	{51.935, 49.986, -14.574},  // magenta
	{51.038, -28.631, -28.638}, // cyan
	{96.539, -0.425, 1.186},    // white, 0.05 density
	{81.257, -0.638, -0.335},   // grey, 0.23
	{66.766, -0.734, -0.504},   // grey, 0.44
	{50.867, -0.153, -0.27},    // grey, 0.70
	{35.656, -0.421, -1.231},   // grey, 1.05
	{20.461, -0.079, -0.973},   // black, 1.50
}
