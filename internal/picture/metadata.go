package picture

import "fmt"

// metadata is what the file says about its picture beside the pixels.
//
// The files are walked here, in a few lines for each format, because the
// orientation and the colour profile sit in the same walk; the maintained
// libraries for EXIF bring tens of megabytes of download, or the whole of a
// maker's tag tables, for the one number that is needed. Whatever is malformed
// is treated as absent: the decoder judges the file, not this walk.
type metadata struct {
	orientation int // 1..8 of CIPA DC-008, 1 when absent
	// profile is the embedded ICC profile, nil when there is none, and torn
	// says that there was one of which parts are missing.
	profile []byte
	torn    bool
	// space is the colour space that the file names without a profile, and
	// spaceName what to call it; nil when it names none that is known.
	space     *ColourSpace
	spaceName string
	// lumaStep and chromaSteps are the quantisation steps of the mean of a block's Y,
	// Cb and Cr in code values, 0 when the file is no JPEG.
	lumaStep    float64
	chromaSteps [2]float64
	// ofScreen says that the file calls itself a copy of a screen.
	ofScreen bool
	lit      Lit
	// otherTurn says that the EXIF block of a HEIC tells of another turn than the file's
	// own, which alone counts.
	otherTurn bool
	// hdr says that the file is marked as one of high dynamic range, and brightScreen
	// that its very numbers are.
	hdr, brightScreen bool
}

// turnNote says in plain words that the picture may not lie upright, "" when nothing
// in the file speaks for it.
func (m *metadata) turnNote() string {
	if !m.otherTurn {
		return ""
	}
	return "the file's EXIF tells of another turn than the HEIC itself, which counts: see whether the picture lies upright"
}

const (
	nameSRGB      = "sRGB"
	nameDisplayP3 = "Display P3"
	nameAdobeRGB  = "Adobe RGB (1998)"
)

// named keeps a colour space that the file names without a profile.
func (m *metadata) named(space *ColourSpace, name string) { m.space, m.spaceName = space, name }

// codePoints keeps a colour space told by numbers (ITU-T H.273, tables 2 and 3),
// and reports false for those that are not known here.
func (m *metadata) codePoints(primaries, transfer int) bool {
	m.brightScreen = transfer == transferPQ || transfer == transferHLG
	const bt709, p3, transferSRGB = 1, 12, 13
	switch {
	case transfer == transferSRGB && primaries == bt709:
		m.named(SRGB, nameSRGB)
	case transfer == transferSRGB && primaries == p3:
		m.named(DisplayP3, nameDisplayP3)
	default:
		return false
	}
	return true
}

// colours returns the colour space to read the file in, and a note in plain
// words unless that is sRGB by the file's own word.
func (m *metadata) colours() (space *ColourSpace, note string) {
	space, note = m.coloursTold()
	by := ""
	switch {
	case m.ofScreen:
		by = "as the file says"
	case isOfScreen(m.profile):
		by = "by the file's profile"
	default:
		return space, note
	}
	screen := "this is a copy of a screen, " + by + ", and colours may have been cut off when it was shown: give the camera's own file"
	if note == "" {
		return space, screen
	}
	return space, screen + "; " + note
}

// coloursTold is the same for a file that may be a photograph.
func (m *metadata) coloursTold() (space *ColourSpace, note string) {
	const dull = "sRGB was assumed, so strong colours may come out dull"
	switch {
	case m.torn:
		return SRGB, "the file's colour profile is incomplete: " + dull
	case m.profile != nil:
		space, err := profileSpace(m.profile)
		name := profileName(m.profile)
		if name != "" {
			name = " " + name
		}
		if err != nil {
			return SRGB, fmt.Sprintf("the file's colour profile%s %v: %s", name, err, dull)
		}
		if space.isSRGB() {
			return SRGB, ""
		}
		return space, "colours are read by the file's profile" + name
	case m.space == SRGB:
		return SRGB, ""
	case m.space != nil:
		return m.space, "colours are read as " + m.spaceName + ", which the file names"
	}
	return SRGB, "no colour profile in the file: sRGB assumed"
}
