package scene

import (
	"encoding/binary"
	"math"
	"unicode/utf16"

	"setshade/internal/spectrum"
)

// Profile is the colour space in which a camera writes its files. The zero value
// is sRGB, and such files carry no profile.
type Profile int

const (
	SRGB Profile = iota
	// DisplayP3 has the primaries of SMPTE EG 432-1, the white of D65 and sRGB's
	// curve, as many phones write it.
	DisplayP3
)

// own turns linear sRGB into the linear light of the space. The matrix is that of
// W3C CSS Color 4, section 17: lin_sRGB to XYZ, then to lin_P3 (printed here as
// their product).
func (p Profile) own(c colour) colour {
	if p == SRGB {
		return c
	}
	return colour{
		0.8224619688*c[0] + 0.1775380312*c[1],
		0.0331941989*c[0] + 0.9668058011*c[1],
		0.0170826307*c[0] + 0.0723974407*c[1] + 0.9105199286*c[2],
	}
}

// ICC returns the profile to embed, of version 4 of ICC.1, nil for sRGB. Its
// colorants are those of the published profile for Display P3, adapted to D50.
func (p Profile) ICC() []byte {
	if p == SRGB {
		return nil
	}
	xyz := func(c spectrum.XYZ) []byte {
		return s15Fixed16([]byte("XYZ \x00\x00\x00\x00"), c.X, c.Y, c.Z)
	}
	// parametricCurveType 3 with sRGB's numbers.
	curve := s15Fixed16([]byte("para\x00\x00\x00\x00\x00\x03\x00\x00"), 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045)
	return assemble([]tag{
		{"desc", words("Display P3")},
		{"cprt", words("none")},
		{"wtpt", xyz(spectrum.XYZ{X: 0.9642, Y: 1, Z: 0.8249})},
		{"rXYZ", xyz(spectrum.XYZ{X: 0.51512, Y: 0.24120, Z: -0.00105})},
		{"gXYZ", xyz(spectrum.XYZ{X: 0.29198, Y: 0.69225, Z: 0.04189})},
		{"bXYZ", xyz(spectrum.XYZ{X: 0.15710, Y: 0.06657, Z: 0.78407})},
		{"rTRC", curve}, {"gTRC", curve}, {"bTRC", curve},
	})
}

// tag is one tag of a profile.
type tag struct {
	signature string
	body      []byte
}

// assemble writes a profile: header, table of tags, tags (ICC.1:2022, section 7).
func assemble(tags []tag) []byte {
	const header = 128
	b := make([]byte, header)
	copy(b[8:], []byte{4, 0x40})
	copy(b[12:], "mntrRGB XYZ ")
	copy(b[36:], "acsp")
	copy(b[68:], s15Fixed16(nil, 0.9642, 1, 0.8249))
	b = binary.BigEndian.AppendUint32(b, uint32(len(tags)))
	at := len(b) + 12*len(tags)
	var bodies []byte
	for _, t := range tags {
		b = append(b, t.signature...)
		b = binary.BigEndian.AppendUint32(b, uint32(at+len(bodies)))
		b = binary.BigEndian.AppendUint32(b, uint32(len(t.body)))
		bodies = append(bodies, t.body...)
		for len(bodies)%4 != 0 {
			bodies = append(bodies, 0)
		}
	}
	b = append(b, bodies...)
	binary.BigEndian.PutUint32(b, uint32(len(b)))
	return b
}

// s15Fixed16 appends signed numbers with 16 binary places (4.6).
func s15Fixed16(b []byte, values ...float64) []byte {
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(v*65536))))
	}
	return b
}

// words is a multiLocalizedUnicodeType of one language.
func words(text string) []byte {
	units := utf16.Encode([]rune(text))
	b := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
	b = binary.BigEndian.AppendUint32(b, uint32(2*len(units)))
	b = binary.BigEndian.AppendUint32(b, 28)
	for _, u := range units {
		b = binary.BigEndian.AppendUint16(b, u)
	}
	return b
}
