package card

import (
	"fmt"
	"strings"
)

// Size is the paper of a card, lying on its long side.
type Size int

const (
	// A5 is 210 mm x 148 mm (ISO 216).
	A5 Size = iota
	// HalfLetter is 8.5 in x 5.5 in.
	HalfLetter
)

const mmPerInch = 25.4

// Sizes returns every size there is.
func Sizes() []Size { return []Size{A5, HalfLetter} }

// SizeNamed returns the size that String calls by this name, in capitals or not.
func SizeNamed(name string) (Size, error) {
	for _, s := range Sizes() {
		if strings.EqualFold(name, s.String()) {
			return s, nil
		}
	}
	return 0, fmt.Errorf("no card is called %q; the sizes are %s and %s", name, A5, HalfLetter)
}

// String names the size: A5, half-letter.
func (s Size) String() string {
	if s == HalfLetter {
		return "half-letter"
	}
	return "A5"
}

// PaperMM returns the width and height of the paper.
func (s Size) PaperMM() Point {
	if s == HalfLetter {
		return Point{8.5 * mmPerInch, 5.5 * mmPerInch}
	}
	return Point{210, 148}
}
