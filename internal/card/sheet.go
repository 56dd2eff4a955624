package card

import (
	"fmt"
	"strings"
)

// Sheet is a full sheet of paper, of which one or two cards are cut.
type Sheet int

const (
	// A4 is 210 mm x 297 mm (ISO 216).
	A4 Sheet = iota
	// Letter is 8.5 in x 11 in.
	Letter
)

// Sheets returns every sheet there is.
func Sheets() []Sheet { return []Sheet{A4, Letter} }

// SheetNamed returns the sheet that String calls by this name, in capitals or not.
func SheetNamed(name string) (Sheet, error) {
	for _, s := range Sheets() {
		if strings.EqualFold(name, s.String()) {
			return s, nil
		}
	}
	return 0, fmt.Errorf("no sheet is called %q; the sheets are %s and %s", name, A4, Letter)
}

// String names the sheet: A4, letter.
func (s Sheet) String() string {
	if s == Letter {
		return "letter"
	}
	return "A4"
}

// PaperMM returns the width and height of the sheet, standing on its short side.
func (s Sheet) PaperMM() Point {
	if s == Letter {
		return Point{8.5 * mmPerInch, 11 * mmPerInch}
	}
	return Point{210, 297}
}

// Layup is where cards of one size are printed on a sheet, at true scale.
type Layup struct {
	Sheet Sheet
	// PaperMM is the width and height of the sheet as it lies: on its long side
	// where a card is too wide for it otherwise.
	PaperMM Point
	// CardMM is the width and height of a card.
	CardMM Point
	// Corners are the upper left corners of the cards, in mm from that of the sheet:
	// one card above the other, in the middle of the sheet.
	Corners []Point
}

// Layup puts as many cards on the sheet as fit above each other.
func (s Sheet) Layup(size Size) Layup {
	l := Layup{Sheet: s, PaperMM: s.PaperMM(), CardMM: size.PaperMM()}
	if l.CardMM.X > l.PaperMM.X+fitMM {
		l.PaperMM = Point{l.PaperMM.Y, l.PaperMM.X}
	}
	n := int((l.PaperMM.Y + fitMM) / l.CardMM.Y)
	top := (l.PaperMM.Y - float64(n)*l.CardMM.Y) / 2
	for i := range n {
		l.Corners = append(l.Corners, Point{(l.PaperMM.X - l.CardMM.X) / 2, top + float64(i)*l.CardMM.Y})
	}
	return l
}

// fitMM is how much larger than its room a card may be: a rounding of inches.
const fitMM = 1e-6

// CutMarks are thin marks to cut along, in mm from the sheet's upper left corner: at
// each corner of a card one along either edge, as far as a printer reaches. There are
// none along an edge of the sheet.
func (l Layup) CutMarks() []Rect {
	const length, width = 12.0, 0.2
	reach := Rect{Point{MarginMM, MarginMM}, Point{l.PaperMM.X - MarginMM, l.PaperMM.Y - MarginMM}}
	var marks []Rect
	add := func(r Rect) {
		r.Min = Point{max(r.Min.X, reach.Min.X), max(r.Min.Y, reach.Min.Y)}
		r.Max = Point{min(r.Max.X, reach.Max.X), min(r.Max.Y, reach.Max.Y)}
		if r.Max.X > r.Min.X && r.Max.Y > r.Min.Y {
			marks = append(marks, r)
		}
	}
	for _, corner := range l.Corners {
		far := Point{corner.X + l.CardMM.X, corner.Y + l.CardMM.Y}
		for _, y := range []float64{corner.Y, far.Y} {
			add(at(corner.X, y-width/2, length, width))
			add(at(far.X-length, y-width/2, length, width))
		}
		for _, x := range []float64{corner.X, far.X} {
			add(at(x-width/2, corner.Y, width, length))
			add(at(x-width/2, far.Y-length, width, length))
		}
	}
	return marks
}
