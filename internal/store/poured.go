package store

import (
	"strings"
	"time"

	"setshade/internal/plaintext"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Poured is a batch as the log keeps it: one melt, in one or more colours.
type Poured struct {
	// ID is the batch's number, 0 before it is stored.
	ID       int64     `json:"number"`
	Wax      string    `json:"wax"`
	PouredAt time.Time `json:"poured_at"`
	// Portion is what the colours' portions count: "piece" or "scoop".
	Portion string `json:"portion"`
	Colours []PouredColour
	// Lots are in order of what they are of, each once.
	Lots  []Lot    `json:"lots"`
	Notes []string `json:"notes"`
}

// PouredColour is one pot of a batch, its recipe as it was measured out.
type PouredColour struct {
	Name      string `json:"name"`
	wax.Batch `json:"batch"`
	Portions  float64 `json:"portions"`
	// Promise is what was predicted on the day; nil where nothing had been
	// learned.
	Promise *Promise `json:"promise"`
	// SwatchID is the drop of it that was read afterwards, 0 when none was.
	SwatchID int64
}

// Promise is a predicted shade: of a finished piece, and of a test drop on usual
// white card.
type Promise struct {
	Piece Foretold `json:"piece"`
	Drop  Foretold `json:"drop"`
}

// Foretold is a colour and the dE00 that the wax lies within, 95 times in 100.
type Foretold struct {
	Lab      spectrum.Lab
	Within95 float64
}

// Lot is the supplier's mark on what went into a batch.
type Lot struct {
	// Of is a wax, a dye, or what else has a lot, such as fragrance or wicks.
	Of  string `json:"of"`
	Lot string `json:"lot"`
}

// The most that a lot and a note may hold, in bytes.
const (
	MaxLotBytes  = 80
	MaxNoteBytes = 2000
)

// validate refuses a batch that cannot be.
func (p Poured) validate() error {
	if p.PouredAt.IsZero() {
		panic("store: a batch needs the time at which it was poured")
	}
	if p.Portion != "piece" && p.Portion != "scoop" {
		panic("store: a portion is a piece or a scoop")
	}
	if len(p.Colours) == 0 {
		return refuse(ErrInvalid, "the batch has no colour; nothing was kept")
	}
	names := map[string]bool{}
	for _, c := range p.Colours {
		if err := c.validate(); err != nil {
			return err
		}
		if key := plaintext.Fold(c.Name); names[key] {
			return refuse(ErrInvalid, "two colours of the batch are called %q; give each a name of its own", c.Name)
		}
		names[plaintext.Fold(c.Name)] = true
	}
	return p.validateWords()
}

func (c PouredColour) validate() error {
	if err := c.Batch.Validate(); err != nil {
		return &Error{sentence: err.Error(), kind: ErrInvalid, cause: err}
	}
	if !finite(c.Portions) || c.Portions < 0 {
		return refuse(ErrInvalid, "%g portions of a colour cannot be", c.Portions)
	}
	if p := c.Promise; p != nil {
		for _, f := range []Foretold{p.Piece, p.Drop} {
			if !f.Lab.IsPlausible() || !finite(f.Within95) || f.Within95 < 0 {
				return refuse(ErrInvalid, "the shade promised of %q is not a colour", c.Name)
			}
		}
	}
	return validText(c.Name)
}

// validateWords refuses lots and notes that could not be given back as they
// came.
func (p Poured) validateWords() error {
	seen := map[string]bool{}
	for _, l := range p.Lots {
		switch key := plaintext.Fold(l.Of); {
		case strings.TrimSpace(l.Of) == "" || l.Lot == "":
			return refuse(ErrInvalid, "a lot needs a mark, and the name of what it is of")
		case len(l.Of) > MaxLotBytes || len(l.Lot) > MaxLotBytes:
			return refuse(ErrInvalid, "the lot of %.20q is too long; %d bytes are kept of it", l.Of, MaxLotBytes)
		case seen[key]:
			return refuse(ErrInvalid, "the lot of %s is given twice", l.Of)
		default:
			seen[key] = true
		}
		if err := validText(l.Of + l.Lot); err != nil {
			return err
		}
	}
	for _, n := range p.Notes {
		if len(n) > MaxNoteBytes {
			return refuse(ErrInvalid, "the note %.20q… is too long; %d bytes are kept of one", n, MaxNoteBytes)
		}
		if err := validText(n); err != nil {
			return err
		}
	}
	return nil
}
