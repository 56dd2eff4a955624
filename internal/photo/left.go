package photo

import "fmt"

// What a correction may leave at the median of its patches, in dE00: more than
// notedLeft is told, with more than mostLeft it would bend colours, not set them
// right. Photographs of one print by other cameras and in other light leave half of
// the first (rendered).
const (
	notedLeft = 1.0
	mostLeft  = 4.0
)

// noteLeft tells of a correction that leaves much.
func (r *Reading) noteLeft() {
	if c := r.Correction; c.MedianDE00 > notedLeft {
		r.note("setting the colours right by the %s leaves %.1f dE00, and the drops may be as far off", c.Kind, c.MedianDE00)
	}
}

// misfit says that patches are not those that they are compared with.
func (c Correction) misfit() string {
	return fmt.Sprintf("the patches are not those of the %s: %.1f dE00 are left between them", c.Kind, c.MedianDE00)
}

// notedMixed is how far a strip's colours must be moved, tones apart, before it is told
// that another light, or another camera, was at work. What the strip leaves does not
// tell of it: a strip of few inks can be moved onto its anchor nearly wholly, dyes then
// not. Rendered, with cameras of own sensitivities: in the light of the anchor at most
// 0.3, and the drops 0.4 off at the median; at 4500 K 1.0 and 1.0, at 2700 K 3.1 and
// 2.9, under a white LED 2.2 and 2.0, by another camera 1.3 and 1.2.
const notedMixed = 0.6

// noteMixed tells of a photograph whose colours differ from its anchor's in kind.
func (r *Reading) noteMixed() {
	if c := r.Correction; c.Kind == ByAnchor && c.MixedDE00 > notedMixed {
		r.note("the strip's colours had to be moved by %.1f dE00 to those of the first photograph: one of the two was taken in another kind of light, or by another camera. "+
			"No strip takes away what that does to dyes, so drops may be off by as much or more: photograph all cards in the same light, by the same camera. "+
			"Where this is the one in daylight, make it the anchor: setshade help card anchor", c.MixedDE00)
	}
}
