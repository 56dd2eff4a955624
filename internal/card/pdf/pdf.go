// Package pdf writes the page from which a test card is printed at true scale: one
// page of exactly the card's size, or a full sheet with cards to cut out.
//
// The page is drawn with lines and letters, so that it is sharp on any printer.
// Greys are printed with black ink alone, and letters are in Helvetica, one of
// the fonts that every reader of PDF has (ISO 32000-1, 9.6.2.2).
package pdf

import (
	"fmt"
	"io"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"setshade/internal/card"
)

// drawn is the day on which this version of the card was drawn. The file carries
// it instead of the day of printing, so that a card always gives the same bytes.
var drawn = time.Date(2026, time.November, 25, 0, 0, 0, 0, time.UTC)

// Write writes the page of a card. What it returns as an error is the writer's.
func Write(w io.Writer, g card.Geometry) error {
	p := newPage(g)
	p.cutMarks()
	p.card(g)
	return p.write(w)
}

// WriteSheet is Write for a full sheet of paper with the card on it as often as the
// layup says, and marks to cut it along.
func WriteSheet(w io.Writer, g card.Geometry, l card.Layup) error {
	p := newPageOf(g, l.PaperMM)
	p.doc.SetFillColor(cutLevel, cutLevel, cutLevel)
	for _, m := range l.CutMarks() {
		size := m.SizeMM()
		p.doc.Rect(m.Min.X, m.Min.Y, size.X, size.Y, "F")
	}
	for _, p.corner = range l.Corners {
		p.card(g)
	}
	return p.write(w)
}

// cutLevel is the grey of marks to cut along.
const cutLevel = 165

// page draws in mm from the card's middle on one that counts from its corner.
type page struct {
	doc   *fpdf.Fpdf
	paper card.Point
	// corner is the upper left corner of the card on the page.
	corner card.Point
}

// card draws everything printed on a card.
func (p page) card(g card.Geometry) {
	for _, painted := range g.Painted() {
		p.paint(painted)
	}
	for _, text := range g.Texts() {
		p.letter(text)
	}
}

func (p page) write(w io.Writer) error {
	if err := p.doc.Output(w); err != nil {
		return fmt.Errorf("the card could not be written: %w", err)
	}
	return nil
}

// newPage is a page of the card's size.
func newPage(g card.Geometry) page { return newPageOf(g, g.PaperMM) }

func newPageOf(g card.Geometry, sheetMM card.Point) page {
	doc := fpdf.NewCustom(&fpdf.InitType{
		UnitStr: "mm",
		Size:    fpdf.SizeType{Wd: sheetMM.X, Ht: sheetMM.Y},
	})
	doc.SetCatalogSort(true)
	doc.SetCreationDate(drawn)
	doc.SetModificationDate(drawn)
	doc.SetTitle(fmt.Sprintf("setshade test card %d, %s", card.Version, g.Print()), false)
	doc.SetAutoPageBreak(false, 0)
	doc.AddPage()
	return page{doc: doc, paper: g.PaperMM}
}

// onPage returns a place counted from the page's corner.
func (p page) onPage(at card.Point) (x, y float64) {
	return p.corner.X + at.X + p.paper.X/2, p.corner.Y + at.Y + p.paper.Y/2
}

func (p page) paint(painted card.Painted) {
	c := painted.Colour
	p.doc.SetFillColor(int(c.R), int(c.G), int(c.B))
	switch s := painted.Shape.(type) {
	case card.Rect:
		x, y := p.onPage(s.Min)
		size := s.SizeMM()
		p.doc.Rect(x, y, size.X, size.Y, "F")
	case card.Ring:
		p.circle(s.Centre, s.OuterRadiusMM)
		if s.InnerRadiusMM > 0 {
			p.circle(s.Centre, s.InnerRadiusMM)
		}
		p.doc.DrawPath("F*") // even-odd: the inner circle is a hole (ISO 32000-1, 8.5.3.3.3)
	default:
		panic(fmt.Sprintf("pdf: no way to draw a %T", s))
	}
}

// circle adds a circle to the path, as four Bézier curves. The arms of a quarter
// are 4/3 (√2 - 1) of the radius; the curve is then nowhere more than 0.03 % of the
// radius off the circle.
func (p page) circle(centre card.Point, radiusMM float64) {
	x, y := p.onPage(centre)
	arm := 4.0 / 3 * (math.Sqrt2 - 1) * radiusMM
	p.doc.MoveTo(x+radiusMM, y)
	dx, dy := radiusMM, 0.0 // from the middle to where the quarter begins
	ax, ay := 0.0, arm      // along the circle from there
	for range 4 {
		ex, ey := -dy, dx
		p.doc.CurveBezierCubicTo(x+dx+ax, y+dy+ay, x+ex+ay, y+ey-ax, x+ex, y+ey)
		dx, dy = ex, ey
		ax, ay = -ay, ax
	}
	p.doc.ClosePath()
}

const pointsPerMM = 72 / 25.4

func (p page) letter(t card.Text) {
	style := ""
	if t.Bold {
		style = "B"
	}
	p.doc.SetFont("Helvetica", style, t.SizeMM*pointsPerMM)
	p.doc.SetTextColor(int(t.Colour.R), int(t.Colour.G), int(t.Colour.B))
	x, y := p.onPage(t.At)
	p.doc.Text(x, y, t.Words)
}

// cutMarks draws the corners of the page, to cut along when it is printed on a
// larger sheet.
func (p page) cutMarks() {
	const length, width = 4.0, 0.25
	p.doc.SetFillColor(cutLevel, cutLevel, cutLevel)
	for _, x := range []float64{0, p.paper.X - length} {
		p.doc.Rect(x, 0, length, width, "F")
		p.doc.Rect(x, p.paper.Y-width, length, width, "F")
	}
	for _, y := range []float64{0, p.paper.Y - length} {
		p.doc.Rect(0, y, width, length, "F")
		p.doc.Rect(p.paper.X-width, y, width, length, "F")
	}
}
