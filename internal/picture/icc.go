package picture

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf16"

	"github.com/lucasb-eyer/go-colorful"

	"setshade/internal/spectrum"
)

// An ICC profile of the matrix/TRC kind says of each channel how code values
// become light and where that light lies in XYZ. Clauses below are those of
// ICC.1:2022 (profile version 4.4); version 2 (ICC.1:2001-04) writes the same
// tags, but for the description. Tables from device to XYZ or Lab (A2B0) are of
// another kind and not read: cameras and phones don't write them.

// pcsWhite is D50, the white of the profile connection space (7.2.16).
var pcsWhite = spectrum.XYZ{X: 0.9642, Y: 1, Z: 0.8249}

// Errors of profiles end a sentence that names the profile.
var (
	errDamaged = errors.New("is damaged")
	errTable   = errors.New("is made of tables (LUT), which are not read here")
)

// profileSpace returns the colour space that a profile describes.
func profileSpace(icc []byte) (*ColourSpace, error) {
	tags, err := profileTags(icc)
	if err != nil {
		return nil, err
	}
	if kind := strings.TrimSpace(string(icc[16:20])); kind != "RGB" { // 7.2.8
		return nil, fmt.Errorf("is one for %s, not for red, green and blue", colourKind(kind))
	}
	columns := [Channels]string{"rXYZ", "gXYZ", "bXYZ"} // 9.2.4, 9.2.31, 9.2.46
	curves := [Channels]string{"rTRC", "gTRC", "bTRC"}
	if _, ok := tags["A2B0"]; ok && tags[columns[Red]] == nil {
		return nil, errTable
	}
	// The primaries add up to white, and none is much more than white.
	const whiteSlack, brightest = 0.05, 2
	var toSRGB Matrix
	var curve [Channels]transfer
	var white spectrum.XYZ
	for c := range Channels {
		column, ok := xyzOf(tags[columns[c]])
		if !ok || max(math.Abs(column.X), math.Abs(column.Y), math.Abs(column.Z)) > brightest {
			return nil, errDamaged
		}
		white = spectrum.XYZ{X: white.X + column.X, Y: white.Y + column.Y, Z: white.Z + column.Z}
		// The columns are adapted to D50 (Annex E); this is the way back.
		xyz := column.Adapt(pcsWhite, d65.xyz())
		toSRGB[Red][c], toSRGB[Green][c], toSRGB[Blue][c] = colorful.XyzToLinearRgb(xyz.X, xyz.Y, xyz.Z)
		if curve[c], ok = curveOf(tags[curves[c]]); !ok {
			return nil, errDamaged
		}
	}
	if max(math.Abs(white.X-pcsWhite.X), math.Abs(white.Y-pcsWhite.Y), math.Abs(white.Z-pcsWhite.Z)) > whiteSlack {
		return nil, errDamaged
	}
	s, ok := newColourSpace(curve, toSRGB)
	if !ok {
		return nil, errDamaged
	}
	return s, nil
}

// isOfScreen reports whether a profile is of one adjusted screen: only such a one
// holds what a graphics card is loaded with for it (vcgt, a private tag in the sense
// of ICC.1:2022, clause 9.1, which the programs that adjust screens write: common
// practice, no source). A file with it is a copy of what was shown there.
func isOfScreen(icc []byte) bool {
	tags, err := profileTags(icc)
	return err == nil && tags["vcgt"] != nil
}

func colourKind(signature string) string {
	switch signature {
	case "GRAY":
		return "greys"
	case "CMYK":
		return "printing inks (CMYK)"
	}
	return "other colours"
}

// profileTags returns the tags by signature (7.3). What reaches out of the
// profile is absent.
func profileTags(icc []byte) (map[string][]byte, error) {
	const header, most = 128, 200
	if len(icc) < header+4 || string(icc[36:40]) != "acsp" { // 7.2.11
		return nil, errDamaged
	}
	tags := map[string][]byte{}
	table := icc[header+4:]
	for range min(binary.BigEndian.Uint32(icc[header:]), most) {
		if len(table) < 12 {
			return nil, errDamaged
		}
		start, size := uint64(binary.BigEndian.Uint32(table[4:])), uint64(binary.BigEndian.Uint32(table[8:]))
		if start+size <= uint64(len(icc)) {
			tags[string(table[:4])] = icc[start : start+size]
		}
		table = table[12:]
	}
	return tags, nil
}

// s15Fixed16 is a signed number with 16 binary places (4.6).
func s15Fixed16(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }

// xyzOf reads an XYZType of one colour (10.31).
func xyzOf(tag []byte) (spectrum.XYZ, bool) {
	if len(tag) < 20 || string(tag[:4]) != "XYZ " {
		return spectrum.XYZ{}, false
	}
	return spectrum.XYZ{X: s15Fixed16(tag[8:]), Y: s15Fixed16(tag[12:]), Z: s15Fixed16(tag[16:])}, true
}

// curveOf reads a tone reproduction curve; its values are held within 0..1, as
// the standard has it.
func curveOf(tag []byte) (transfer, bool) {
	if len(tag) < 12 {
		return nil, false
	}
	switch string(tag[:4]) {
	case "curv":
		return sampledCurve(tag)
	case "para":
		return parametricCurve(tag)
	}
	return nil, false
}

// sampledCurve reads a curveType (10.6): nothing for a straight line, one number
// for a gamma, several for points evenly spaced with lines between them.
func sampledCurve(tag []byte) (transfer, bool) {
	n := uint64(binary.BigEndian.Uint32(tag[8:]))
	if n == 0 {
		return func(v float64) float64 { return v }, true
	}
	if 12+2*n > uint64(len(tag)) {
		return nil, false
	}
	point := func(i int) float64 { return float64(binary.BigEndian.Uint16(tag[12+2*i:])) }
	if n == 1 {
		gamma := point(0) / 256 // u8Fixed8Number, 4.9
		return func(v float64) float64 { return math.Pow(v, gamma) }, true
	}
	last := float64(n - 1)
	return func(v float64) float64 {
		at := v * last
		below := int(min(math.Floor(at), last-1))
		share := at - float64(below)
		return ((1-share)*point(below) + share*point(below+1)) / 65535
	}, true
}

// parametricCurve reads a parametricCurveType (10.18, table 68):
//
//	0: Y = X^g
//	1: Y = (aX+b)^g          X >= -b/a,  0 below
//	2: Y = (aX+b)^g + c      X >= -b/a,  c below
//	3: Y = (aX+b)^g          X >= d,     cX below
//	4: Y = (aX+b)^g + e      X >= d,     cX + f below
func parametricCurve(tag []byte) (transfer, bool) {
	counts := []int{1, 3, 4, 5, 7} // numbers of each function
	kind := int(binary.BigEndian.Uint16(tag[8:]))
	if kind >= len(counts) || len(tag) < 12+4*counts[kind] {
		return nil, false
	}
	p := [7]float64{1: 1} // g, a, b, c, d, e, f
	for i := range counts[kind] {
		p[i] = s15Fixed16(tag[12+4*i:])
	}
	g, a, b, c, d, e, f := p[0], p[1], p[2], p[3], p[4], p[5], p[6]
	switch kind {
	case 0:
		d = 0
	case 1, 2:
		c, d, e, f = 0, -b/a, c, c
	}
	return func(v float64) float64 {
		y := c*v + f
		if v >= d {
			y = math.Pow(a*v+b, g) + e
		}
		return min(max(y, 0), 1)
	}, true
}

// profileName returns the description of a profile (9.2.41), "" when there is
// none: version 4 has a multiLocalizedUnicodeType (10.15), version 2 a
// textDescriptionType (ICC.1:2001-04, 6.5.17).
func profileName(icc []byte) string {
	tags, err := profileTags(icc)
	if err != nil {
		return ""
	}
	tag := tags["desc"]
	name := ""
	switch {
	case len(tag) >= 12 && string(tag[:4]) == "desc":
		n := uint64(binary.BigEndian.Uint32(tag[8:]))
		name = string(tag[12:min(12+n, uint64(len(tag)))])
	case len(tag) >= 28 && string(tag[:4]) == "mluc":
		n, at := uint64(binary.BigEndian.Uint32(tag[20:])), uint64(binary.BigEndian.Uint32(tag[24:]))
		if at+n > uint64(len(tag)) {
			return ""
		}
		units := make([]uint16, n/2)
		for i := range units {
			units[i] = binary.BigEndian.Uint16(tag[at+2*uint64(i):])
		}
		name = string(utf16.Decode(units))
	}
	return printable(name)
}

// printable leaves out what would upset a terminal, and all beyond a line's
// worth.
func printable(name string) string {
	const most = 60
	var out strings.Builder
	for _, r := range name {
		if out.Len() < most && unicode.IsPrint(r) && r != unicode.ReplacementChar {
			out.WriteRune(r)
		}
	}
	return strings.TrimSpace(out.String())
}
