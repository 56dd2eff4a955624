package picturetest

import (
	"encoding/binary"
	"maps"
	"math"
	"slices"
	"unicode/utf16"

	"setshade/internal/spectrum"
)

// connectionWhite is D50, the white of the profile connection space (ICC.1:2022,
// 7.2.16), and white is that of the spaces, D65 (IEC 61966-2-1:1999, table 1).
var (
	connectionWhite = spectrum.XYZ{X: 0.9642, Y: 1, Z: 0.8249}
	white           = spectrum.XYZ{X: 0.3127 / 0.3290, Y: 1, Z: (1 - 0.3127 - 0.3290) / 0.3290}
)

// Profile builds a profile of version 4 from the bodies of its tags.
func Profile(kind string, tags map[string][]byte) []byte {
	icc := make([]byte, 128)
	copy(icc[8:], []byte{4, 0x40})
	copy(icc[12:], "mntr"+kind+"XYZ ")
	copy(icc[36:], "acsp")
	copy(icc[68:], fixedTag("", connectionWhite.X, connectionWhite.Y, connectionWhite.Z))
	icc = binary.BigEndian.AppendUint32(icc, uint32(len(tags)))
	at := len(icc) + 12*len(tags)
	var bodies []byte
	for _, name := range slices.Sorted(maps.Keys(tags)) {
		icc = append(icc, name...)
		icc = binary.BigEndian.AppendUint32(icc, uint32(at+len(bodies)))
		icc = binary.BigEndian.AppendUint32(icc, uint32(len(tags[name])))
		bodies = append(bodies, tags[name]...)
	}
	icc = append(icc, bodies...)
	binary.BigEndian.PutUint32(icc, uint32(len(icc)))
	return icc
}

// fixedTag writes numbers of 16 binary places behind a head (ICC.1:2022, 4.6).
func fixedTag(head string, values ...float64) []byte {
	b := []byte(head)
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(v*65536))))
	}
	return b
}

// XYZTag is an XYZType of one colour (ICC.1:2022, 10.31).
func XYZTag(c spectrum.XYZ) []byte { return fixedTag("XYZ \x00\x00\x00\x00", c.X, c.Y, c.Z) }

// ParaTag is a parametricCurveType of the given kind (ICC.1:2022, 10.18).
func ParaTag(kind byte, values ...float64) []byte {
	return fixedTag("para\x00\x00\x00\x00\x00"+string(kind)+"\x00\x00", values...)
}

// CurvTag is a curveType: of no points, of a gamma in 256ths, or of points (ICC.1:2022, 10.6).
func CurvTag(points ...uint16) []byte {
	b := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), uint32(len(points)))
	for _, p := range points {
		b = binary.BigEndian.AppendUint16(b, p)
	}
	return b
}

// mlucTag is a multiLocalizedUnicodeType of one language (ICC.1:2022, 10.15).
func mlucTag(text string) []byte {
	units := utf16.Encode([]rune(text))
	b := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
	b = binary.BigEndian.AppendUint32(b, uint32(2*len(units)))
	b = binary.BigEndian.AppendUint32(b, 28)
	for _, u := range units {
		b = binary.BigEndian.AppendUint16(b, u)
	}
	return b
}

// DescTag is a textDescriptionType of version 2 (ICC.1:2001-04, 6.5.17).
func DescTag(text string) []byte {
	b := binary.BigEndian.AppendUint32([]byte("desc\x00\x00\x00\x00"), uint32(len(text)+1))
	return append(append(b, text...), 0)
}

// DisplayP3XYZ are the primaries of Display P3 in amounts that make D65: the matrix of
// SMPTE EG 432-1's primaries with that white, as W3C CSS Color 4 prints it in its
// sample code (section 17, lin_P3_to_XYZ).
var DisplayP3XYZ = [3]spectrum.XYZ{
	{X: 0.4865709, Y: 0.2289746, Z: 0},
	{X: 0.2656677, Y: 0.6917385, Z: 0.0451134},
	{X: 0.1982173, Y: 0.0792869, Z: 1.0439444},
}

// DisplayP3Tags are those of a profile for Display P3 with the given curve. Primaries are
// adapted from D65 to D50 (ICC.1:2022, annex E).
func DisplayP3Tags(curve []byte) map[string][]byte {
	tags := map[string][]byte{"desc": mlucTag("Display P3"), "rTRC": curve, "gTRC": curve, "bTRC": curve}
	for c, name := range []string{"rXYZ", "gXYZ", "bXYZ"} {
		tags[name] = XYZTag(DisplayP3XYZ[c].Adapt(white, connectionWhite))
	}
	return tags
}

// SRGBCurve is sRGB's curve as parametricCurveType 3.
var SRGBCurve = ParaTag(3, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045)

// DisplayP3 is a profile for Display P3.
var DisplayP3 = Profile("RGB ", DisplayP3Tags(SRGBCurve))
