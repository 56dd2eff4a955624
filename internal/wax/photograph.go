package wax

import (
	"encoding/json"
	"math"

	"setshade/internal/spectrum"
)

// Correction says how a photograph's colours were set right, and how well. The
// zero Correction is that of a photograph read before it was kept.
type Correction struct {
	// Kind is what the colours are relative to, in the reader's words: "card white",
	// "first photograph", "measured strip" or "24-patch chart".
	Kind string
	// Model is the form that was fitted, in plain words.
	Model string
	// Patches is how many patches of strip or chart were used.
	Patches int
	// MedianDE00 and WorstDE00 are what the fit leaves at the patches; HeldOutDE00
	// is the median at patches held out of it.
	MedianDE00, WorstDE00, HeldOutDE00 float64
}

// IsKnown reports whether the correction was kept.
func (c Correction) IsKnown() bool { return c.Kind != "" }

// Quality is what a photograph is like as a measurement.
type Quality struct {
	// LightRatio is the brightest over the darkest light on the card.
	LightRatio float64
	// TintShift is how far the light changes its colour over the card, 0.1 for a
	// tenth of red over blue.
	TintShift float64
	// Noise is that of bare card from pixel to pixel, as a share of card white.
	Noise float64
	// EdgePx is the width of a sharp edge in pixels, 0 when none could be measured.
	EdgePx float64
}

// Strip holds the colours of the patches of a printed card, from left to right.
// A patch that could not be read is not finite.
type Strip []spectrum.Lab

// Rows returns the patches as [L*, a*, b*], nil for one that could not be read.
func (s Strip) Rows() []*[3]float64 {
	rows := make([]*[3]float64, len(s))
	for i, lab := range s {
		if lab.IsFinite() {
			v := lab.Vector()
			rows[i] = &v
		}
	}
	return rows
}

// StripOf is the inverse of Rows; no rows are the nil strip.
func StripOf(rows []*[3]float64) Strip {
	var s Strip
	for _, v := range rows {
		lab := spectrum.Lab{L: math.NaN(), A: math.NaN(), B: math.NaN()}
		if v != nil {
			lab = spectrum.LabOf(*v)
		}
		s = append(s, lab)
	}
	return s
}

// MarshalJSON writes the Rows, since JSON has no numbers that are not finite.
func (s Strip) MarshalJSON() ([]byte, error) { return json.Marshal(s.Rows()) }

// UnmarshalJSON reads what MarshalJSON writes.
func (s *Strip) UnmarshalJSON(text []byte) error {
	var rows []*[3]float64
	err := json.Unmarshal(text, &rows)
	*s = StripOf(rows)
	return err
}

// Sound is how many of the patches were read.
func (s Strip) Sound() int {
	n := 0
	for _, lab := range s {
		if lab.IsFinite() {
			n++
		}
	}
	return n
}

// Light is the kind of light that a card lay in, which says what its drops mirror.
type Light string

// The kinds of light. UntoldLight is one that neither the maker nor the picture tells.
const (
	UntoldLight Light = ""
	// WindowLight comes from one side, into a room that is darker.
	WindowLight Light = "window"
	// OvercastLight is an even sky, brighter than the card that it lights.
	OvercastLight Light = "overcast"
	// BlackLight is any daylight, with something black above the card but for a hole
	// for the lens, so that drops mirror next to nothing in their middle.
	BlackLight Light = "black"
	// LampLight is not daylight: colours are those under that lamp.
	LampLight Light = "lamp"
)

// Lights are the kinds that can be told.
var Lights = []Light{WindowLight, OvercastLight, BlackLight, LampLight}
