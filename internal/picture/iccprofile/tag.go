package iccprofile

import (
	"encoding/binary"
	"math"
	"unicode/utf16"

	"setshade/internal/spectrum"
)

// fixed writes signed numbers of 16 binary places behind a head (4.6).
func fixed(head string, values ...float64) []byte {
	b := []byte(head)
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(v*65536))))
	}
	return b
}

// XYZ is an XYZType of one colour (10.31).
func XYZ(c spectrum.XYZ) []byte { return fixed("XYZ \x00\x00\x00\x00", c.X, c.Y, c.Z) }

// Parametric is a parametricCurveType of the given kind (10.18).
func Parametric(kind byte, values ...float64) []byte {
	return fixed("para\x00\x00\x00\x00\x00"+string(kind)+"\x00\x00", values...)
}

// SRGBCurve is sRGB's curve (IEC 61966-2-1:1999) as parametricCurveType 3.
var SRGBCurve = Parametric(3, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045)

// Curve is a curveType: of no points, of a gamma in 256ths, or of points (10.6).
func Curve(points ...uint16) []byte {
	b := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), uint32(len(points)))
	for _, p := range points {
		b = binary.BigEndian.AppendUint16(b, p)
	}
	return b
}

// Text is a multiLocalizedUnicodeType of one language (10.15).
func Text(text string) []byte {
	units := utf16.Encode([]rune(text))
	b := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
	b = binary.BigEndian.AppendUint32(b, uint32(2*len(units)))
	b = binary.BigEndian.AppendUint32(b, 28)
	for _, u := range units {
		b = binary.BigEndian.AppendUint16(b, u)
	}
	return b
}

// Description is a textDescriptionType of version 2 (ICC.1:2001-04, 6.5.17).
func Description(text string) []byte {
	b := binary.BigEndian.AppendUint32([]byte("desc\x00\x00\x00\x00"), uint32(len(text)+1))
	return append(append(b, text...), 0)
}
