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
