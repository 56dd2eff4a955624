package scene

import (
	"setshade/internal/picture/iccprofile"
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
	return iccprofile.New("RGB ", map[string][]byte{
		"desc": iccprofile.Text("Display P3"),
		"cprt": iccprofile.Text("none"),
		"wtpt": iccprofile.XYZ(iccprofile.PCSWhite),
		"rXYZ": iccprofile.XYZ(spectrum.XYZ{X: 0.51512, Y: 0.24120, Z: -0.00105}),
		"gXYZ": iccprofile.XYZ(spectrum.XYZ{X: 0.29198, Y: 0.69225, Z: 0.04189}),
		"bXYZ": iccprofile.XYZ(spectrum.XYZ{X: 0.15710, Y: 0.06657, Z: 0.78407}),
		"rTRC": iccprofile.SRGBCurve, "gTRC": iccprofile.SRGBCurve, "bTRC": iccprofile.SRGBCurve,
	})
}
