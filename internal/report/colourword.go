package report

import "setshade/internal/spectrum"

// ColourWord names a colour in plain English, such as "pale warm pink", "deep
// blue" or "off-white".
//
// The method, a level of lightness and saturation before a hue name, is that
// of the ISCC-NBS system (Kelly and Judd 1955, revised 1976). The boundaries
// are our own, in L*, C*ab and hab under D65, and coarser than theirs.
func ColourWord(c spectrum.Lab) string {
	l, chroma := c.L, c.Chroma()
	if word := neutral(l, chroma); word != "" {
		return word
	}
	hue := hueName(l, chroma, c.HueDegrees())
	if level := level(l, chroma, hue); level != "" {
		return level + " " + hue
	}
	return hue
}

// neutral names colours with too little chroma to have a hue, or "".
func neutral(l, chroma float64) string {
	switch {
	case l >= 96 && chroma < 3:
		return "white"
	case l >= 90 && chroma < 9:
		return "off-white"
	case l < 20 && chroma < 6:
		return "black"
	case chroma >= 4:
		return ""
	case l >= 75:
		return "light grey"
	case l >= 42:
		return "grey"
	}
	return "dark grey"
}

// hueName names the hue h in degrees at a lightness and chroma. Pink, brown
// and olive are what red, orange and yellow are called when light or dark.
func hueName(l, chroma, h float64) string {
	switch {
	case h < 42:
		return redName(l, chroma, h)
	case h < 88 && (l < 52 || l < 80 && chroma < 35):
		return "brown"
	case h < 78:
		return "orange"
	case h < 120 && l < 58:
		return "olive"
	case h < 110:
		return "yellow"
	case h < 132:
		return "yellow-green"
	case h < 172:
		return "green"
	case h < 205:
		return "blue-green"
	case h < 288:
		return "blue"
	case h < 309:
		return blueOrViolet(l, chroma)
	case h < 320:
		return "violet"
	case h < 338:
		return "purple"
	}
	return redName(l, chroma, h-360)
}

// redName names hues from -22° to 42°.
func redName(l, chroma, h float64) string {
	pink := l >= 55 && (chroma < 60 || h < 20)
	switch {
	case pink && h >= 20:
		return "warm pink"
	case pink:
		return "pink"
	case h >= 34 && l < 52 && chroma < 50:
		return "brown"
	case h < 8:
		return "purplish red"
	}
	return "red"
}

// blueOrViolet divides hues from 288° to 309°, where CIELAB's lines of equal
// hue bend: strong and dark colours there look blue, the others violet.
func blueOrViolet(l, chroma float64) string {
	if l < 28 || chroma > 65 {
		return "blue"
	}
	return "violet"
}

// level is the word for lightness and saturation before a hue, or "" for the
// middle ones.
func level(l, chroma float64, hue string) string {
	light := 70.0
	if hue == "yellow" {
		light = 88 // yellow at its strongest is a light colour already
	}
	switch {
	case l >= 88 && chroma < 15:
		return "very pale"
	case l >= 78 && chroma < 30:
		return "pale"
	case chroma >= 75 && l >= 30:
		return "vivid"
	case l < 40 && chroma >= 40:
		return "deep"
	case l < 18:
		return "very dark"
	case l < 40 && chroma < 15:
		return "dark greyish"
	case l < 40:
		return "dark"
	case chroma < 15 || hue == "yellow" && chroma < 30:
		return "greyish"
	case l >= light:
		return "light"
	}
	return ""
}
