package wax

import (
	"time"

	"setshade/internal/spectrum"
)

// State is whether a drop was photographed liquid or set.
type State string

// The two states of a drop.
const (
	LiquidState State = "liquid"
	SetState    State = "set"
)

// Swatch is one measured drop. It keeps what the reader saw, so that a better
// reader can read the photograph again.
type Swatch struct {
	// ID is the store's number, 0 before it is stored.
	ID     int64
	Wax    string
	State  State
	Recipe Recipe
	// Check marks a drop kept back to test predictions: shown, never learned
	// from.
	Check  bool
	Colour spectrum.Measured
	// Thick marks a piece of set wax so thick that nothing shows through; Card
	// then has no part in its colour.
	Thick bool
	// Card is the colour of the bare card the drop lies on.
	Card spectrum.Lab
	// OverBlack is the colour of the part that lies over the printed black bar,
	// and Bar that of the bare bar; nil where the drop does not cross one.
	OverBlack *spectrum.Measured
	Bar       *spectrum.Lab
	// DiameterMM of the drop on a printed card, 0 where not known.
	DiameterMM float64
	// MassG is what the drop weighs, g, as its plan says; 0 where not said.
	MassG float64
	// Drop is the drop's number on its card, from 1.
	Drop int
	// AreaPx and AreaShare are the drop's area in pixels and as a share of the
	// card's area.
	AreaPx    int
	AreaShare float64
	// Notes are the reader's remarks on quality, in plain words.
	Notes []string
	Photo PhotoRef
}

// FirstModelReader is the first version of the photo reader that tells the light which
// drops mirror from that of their wax, and errorBeforeL how far off those before it read
// the lightness of path-traced drops, L*: +2.5 to +3.8 under an overcast sky, -3.9 under
// something black, all drops of a photograph alike.
const FirstModelReader, errorBeforeL = 6, 3.0

// DoubtL is how far the lightness that a reader of before has read may be off, L*, alike
// in all drops that it read; 0 of a present reader, and of an instrument.
func (p PhotoRef) DoubtL() float64 {
	if p.Reader > 0 && p.Reader < FirstModelReader {
		return errorBeforeL
	}
	return 0
}

// PhotoRef names the photograph a swatch was read from.
type PhotoRef struct {
	// SHA256 of the file's bytes, in hex.
	SHA256 string
	Name   string
	// Reader is the version of the photo reader that made the numbers.
	Reader     int
	RecordedAt time.Time
	// Card is the store's number of the card, which other photographs may show too.
	Card       int64
	Correction Correction
	Quality    Quality
}
