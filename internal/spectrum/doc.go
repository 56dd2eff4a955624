// Package spectrum holds colour as light: the spectral grid, the CIE 1931
// standard observer, four illuminants, and the way from a reflectance factor
// to XYZ, CIELAB, display colour and colour difference.
//
// Everything measured or predicted in this project is a reflectance factor
// relative to a perfect diffuser, seen under D65 by the 1931 2° observer.
//
//	set := spectrum.Flat(0.8)
//	lab := spectrum.D65.Lab(set)                    // L* a* b* under daylight
//	d := spectrum.DE00(lab, spectrum.Lab{L: 90})    // CIEDE2000
//
// The package is pure: no files, no clock, no state that changes. Of finite colours
// within ±1e6 every result is finite; NaN stands for a patch that could not be read,
// and stays NaN.
//
// Sources: CIE 15:2018 Colorimetry; ISO/CIE 11664-1 to -6; ASTM E308 and E2022
// for the weights; IEC 61966-2-1 for sRGB (computed by go-colorful).
package spectrum
