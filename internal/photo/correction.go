package photo

import "setshade/internal/camera"

// Correction says how the camera's colours were set right.
type Correction struct {
	// Kind is what they were set right by.
	Kind CorrectionKind
	// Fitted is the form chosen, and how good it is.
	camera.Fitted
}

// CorrectionKind says what the colours of a photograph are relative to.
type CorrectionKind string

// The kinds of correction.
const (
	// ByWhite: only to the white of the card; the camera is taken at its word for
	// everything else.
	ByWhite CorrectionKind = "card white"
	// ByAnchor: to another photograph of the same printed card.
	ByAnchor CorrectionKind = "first photograph"
	// ByReference: to the strip's colours as an instrument measured them.
	ByReference CorrectionKind = "measured strip"
	// ByChart: to the published colours of a chart of 24 patches.
	ByChart CorrectionKind = "24-patch chart"
)
