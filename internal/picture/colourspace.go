package picture

import (
	"math"
	"sort"

	"github.com/lucasb-eyer/go-colorful"
	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// transfer turns a code value, 0 for black and 1 for the largest, into linear
// light, 0 to 1. It never falls.
type transfer func(code float64) float64

// Matrix turns amounts of three lights into amounts of three others.
type Matrix [Channels][Channels]float64

// Times returns m v.
func (m *Matrix) Times(v [Channels]float64) (out [Channels]float64) {
	for i, row := range m {
		for k, share := range row {
			out[i] += share * v[k]
		}
	}
	return out
}

// inverse reports false for a matrix that has none to be trusted.
func (m *Matrix) inverse() (out Matrix, ok bool) {
	dense := mat.NewDense(Channels, Channels, nil)
	for i := range m {
		dense.SetRow(i, m[i][:])
	}
	var inverse mat.Dense
	if inverse.Inverse(dense) != nil {
		return Matrix{}, false
	}
	for i := range out {
		copy(out[i][:], inverse.RawRowView(i))
	}
	return out, true
}

// ColourSpace says what the code values of a file mean: how much light they stand
// for, and of which red, green and blue.
type ColourSpace struct {
	curve [Channels]transfer
	// light8 is the curve at every code of 8 bits, light12 in the middle of
	// every step of 12 bits, in which codes of 16 bits are read.
	light8  [Channels]*[256]float32
	light12 [Channels]*[4096]float32
	// ToSRGB turns the linear light of the file's own primaries into that of
	// sRGB's. Colours that sRGB can't hold come out with negative amounts.
	ToSRGB, FromSRGB Matrix
	// foot is how far below black, in code values, the curve of green would begin
	// without its linear toe.
	foot float64
	// Plain says that the primaries are sRGB's, so that ToSRGB does nothing.
	Plain bool
}

// newColourSpace tabulates a space; ok is false when its primaries or curves
// are no use for a photograph.
func newColourSpace(curve [Channels]transfer, toSRGB Matrix) (s *ColourSpace, ok bool) {
	s = &ColourSpace{curve: curve, ToSRGB: toSRGB}
	for c, f := range curve {
		s.light8[c], s.light12[c] = new([256]float32), new([4096]float32)
		for i := range s.light8[c] {
			s.light8[c][i] = float32(f(float64(i) / 255))
		}
		for i := range s.light12[c] {
			s.light12[c][i] = float32(f((16*float64(i) + 7.5) / 65535))
		}
		if !rises(s.light8[c]) {
			return nil, false
		}
	}
	s.foot = s.footOf(Green)
	s.FromSRGB, ok = toSRGB.inverse()
	return s, ok
}

// rises reports whether a curve runs upwards from near 0 to near 1.
func rises(table *[256]float32) bool {
	const slack = 0.1
	for i, v := range table {
		if !(v >= 0 && v <= 1) || i > 0 && v < table[i-1] {
			return false
		}
	}
	return table[0] < slack && table[255] > 1-slack
}

// slope is the change of linear light for one code value of 8 bits, at a linear
// light of channel c.
func (s *ColourSpace) slope(c int, light float64) float64 {
	table := s.light8[c]
	at := func(i int) float64 { return float64(table[min(max(i, 0), 255)]) }
	above := min(max(sort.Search(256, func(i int) bool { return at(i) >= light }), 1), 255)
	central := func(i int) float64 {
		low, high := max(i-1, 0), min(i+1, 255)
		return (at(high) - at(low)) / float64(high-low)
	}
	share := 0.0
	if step := at(above) - at(above-1); step > 0 {
		share = min(max((light-at(above-1))/step, 0), 1)
	}
	return (1-share)*central(above-1) + share*central(above)
}

// NotBelowBlack lifts linear sRGB light to what the space can hold at least:
// none of its own primaries is below zero.
func (s *ColourSpace) NotBelowBlack(light [Channels]float64) [Channels]float64 {
	if s.Plain {
		for c, v := range light {
			light[c] = max(v, 0)
		}
		return light
	}
	own := s.FromSRGB.Times(light)
	for c, v := range own {
		own[c] = max(v, 0)
	}
	return s.ToSRGB.Times(own)
}

// isSRGB reports whether the space differs from sRGB by less than half a code
// value at full scale: the profiles named sRGB round their numbers differently.
func (s *ColourSpace) isSRGB() bool {
	const near = 0.004
	for i := range Channels {
		for k := range Channels {
			if math.Abs(s.ToSRGB[i][k]-SRGB.ToSRGB[i][k]) > near {
				return false
			}
		}
		for code, v := range s.light8[i] {
			if math.Abs(float64(v-toLinear[code])) > near {
				return false
			}
		}
	}
	return true
}

// SRGBCurve is the transfer function of sRGB:
//
//	L = V / 12.92                     V <= 0.04045
//	L = ((V + 0.055) / 1.055)^2.4     above
//
// Source: IEC 61966-2-1:1999, 5.2.
func SRGBCurve(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// SRGBCode is the inverse of SRGBCurve, for light in 0..1.
func SRGBCode(light float64) float64 {
	if light <= 0.0031308 {
		return 12.92 * light
	}
	return 1.055*math.Pow(light, 1/2.4) - 0.055
}

// SRGB is how a file is read that says nothing else.
var SRGB = func() *ColourSpace {
	identity := Matrix{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	s, _ := newColourSpace([Channels]transfer{SRGBCurve, SRGBCurve, SRGBCurve}, identity)
	s.Plain = true
	return s
}()

// toLinear is SRGBCurve for every code value of 8 bits.
var toLinear = SRGB.light8[Red]

// chromaticity is CIE 1931 x, y.
type chromaticity struct{ x, y float64 }

func (c chromaticity) xyz() spectrum.XYZ {
	return spectrum.XYZ{X: c.x / c.y, Y: 1, Z: (1 - c.x - c.y) / c.y}
}

// d65 is the white of the spaces below (IEC 61966-2-1:1999, table 1).
var d65 = chromaticity{0.3127, 0.3290}

// DisplayP3 has the primaries of SMPTE EG 432-1:2010 with the white of D65 and
// the curve of sRGB.
var DisplayP3 = mustHavePrimaries([Channels]chromaticity{{0.680, 0.320}, {0.265, 0.690}, {0.150, 0.060}}, SRGBCurve)

// adobeRGB is Adobe RGB (1998): IEC 61966-2-5:2007, exponent 563/256.
var adobeRGB = mustHavePrimaries([Channels]chromaticity{{0.64, 0.33}, {0.21, 0.71}, {0.15, 0.06}},
	func(v float64) float64 { return math.Pow(v, 563.0/256) })

func mustHavePrimaries(primaries [Channels]chromaticity, curve transfer) *ColourSpace {
	s, ok := fromPrimaries(primaries, d65, curve)
	if !ok {
		panic("picture: primaries that lie on one line")
	}
	return s
}

// fromPrimaries is the space of three primaries whose sum is white, the amounts
// of which follow from that sum (SMPTE RP 177-1993, 3.3). A white other than D65 is
// adapted to it. ok is false for primaries of which no white can be mixed.
func fromPrimaries(primaries [Channels]chromaticity, white chromaticity, curve transfer) (s *ColourSpace, ok bool) {
	var columns Matrix
	for c, p := range primaries {
		v := p.xyz()
		columns[0][c], columns[1][c], columns[2][c] = v.X, v.Y, v.Z
	}
	inverse, ok := columns.inverse()
	if !ok {
		return nil, false
	}
	sum := white.xyz()
	var toSRGB Matrix
	for c, amount := range inverse.Times([Channels]float64{sum.X, sum.Y, sum.Z}) {
		v := spectrum.XYZ{X: amount * columns[0][c], Y: amount * columns[1][c], Z: amount * columns[2][c]}
		if white != d65 {
			v = v.Adapt(sum, d65.xyz())
		}
		toSRGB[Red][c], toSRGB[Green][c], toSRGB[Blue][c] = colorful.XyzToLinearRgb(v.X, v.Y, v.Z)
	}
	return newColourSpace([Channels]transfer{curve, curve, curve}, toSRGB)
}
