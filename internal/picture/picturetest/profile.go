package picturetest

import (
	"setshade/internal/picture/iccprofile"
	"setshade/internal/spectrum"
)

// white is that of the spaces, D65 (IEC 61966-2-1:1999, table 1).
var white = spectrum.XYZ{X: 0.3127 / 0.3290, Y: 1, Z: (1 - 0.3127 - 0.3290) / 0.3290}

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
	tags := map[string][]byte{"desc": iccprofile.Text("Display P3"), "rTRC": curve, "gTRC": curve, "bTRC": curve}
	for c, name := range []string{"rXYZ", "gXYZ", "bXYZ"} {
		tags[name] = iccprofile.XYZ(DisplayP3XYZ[c].Adapt(white, iccprofile.PCSWhite))
	}
	return tags
}

// DisplayP3 is a profile for Display P3.
var DisplayP3 = iccprofile.New("RGB ", DisplayP3Tags(iccprofile.SRGBCurve))
