package report

import (
	_ "embed"
	"fmt"
	"io"
	"slices"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// The sizes of type that are tried, in points: the first with which all fits on
// one page, or else the last, on as many pages as it takes.
var typeSizes = []float64{9.5, 9, 8.5, 8, 7.5, 7}

// WritePDF writes the sheet as a PDF of one page; a batch of very many colours
// takes more.
func (s BenchSheet) WritePDF(w io.Writer) error {
	var doc *fpdf.Fpdf
	for _, size := range typeSizes {
		p := sheetPage{newPDFPage(s.Title, s.At, size)}
		p.draw(s)
		if doc = p.doc; doc.PageCount() == 1 {
			break
		}
	}
	return doc.Output(w)
}

// sheetPage draws a bench sheet.
type sheetPage struct{ pdfPage }

func (p sheetPage) draw(s BenchSheet) {
	p.heading(s)
	p.prose(s.Totals)
	p.doc.Ln(1.5)
	p.pots(s.Pots)
	if s.Load != nil {
		p.title("Fragrance")
		for _, l := range s.Load {
			p.prose(l)
		}
	}
	p.title("At the bench")
	for _, step := range s.Steps {
		p.step(step)
	}
	p.prose(s.Ready)
	p.prose("Cost: " + s.Cost)
	p.title("Lots")
	p.lots(s.Lots)
	p.doc.Ln(1)
	p.title("Notes")
	for range 3 {
		p.doc.Ln(7)
		p.rule(pageMargin, pageWide-pageMargin)
	}
	p.doc.Ln(1.5)
	p.typeface("", 0.85)
	p.words(strings.TrimSpace(strings.Join(s.Notes, " ")+" "+s.Colours), 0.85)
}

func (p sheetPage) heading(s BenchSheet) {
	p.typeface("", 1)
	p.doc.CellFormat(0, p.line*1.7, "planned "+s.Date, "", 0, "R", false, 0, "")
	p.doc.SetX(pageMargin)
	p.typeface("B", 1.6)
	p.doc.MultiCell(140, p.line*1.7, p.shown(s.Title), "", "L", false)
}

// The measures of a pot's box, in mm.
const (
	boxGap, boxPad       = 3.0, 1.5
	patchWide, patchHigh = 16.0, 9.0
	amountWide           = 24.0
)

// pots draws a box for each colour, two beside each other when there are more.
func (p sheetPage) pots(pots []sheetPot) {
	wide, perRow := pageWide-2*pageMargin, 1
	if len(pots) > 1 {
		wide, perRow = (wide-boxGap)/2, 2
	}
	for row := range slices.Chunk(pots, perRow) {
		high := 0.0
		for _, pot := range row {
			high = max(high, p.potHigh(pot, wide))
		}
		p.room(high)
		top := p.doc.GetY()
		for i, pot := range row {
			p.pot(pot, pageMargin+float64(i)*(wide+boxGap), top, wide, high)
		}
		p.doc.SetXY(pageMargin, top+high+boxGap/2)
	}
}

// addLines is what is said of an amount, broken to the width of its box.
func (p sheetPage) addLines(a sheetAmount, wide float64) []string {
	p.typeface("", 1)
	said := a.What
	if a.Said != "" {
		said += " (" + a.Said + ")"
	}
	return p.doc.SplitText(p.shown(said), wide-2*boxPad-amountWide)
}

// shadeLines is what is said of a shade, broken to the width beside its patch.
func (p sheetPage) shadeLines(pot sheetPot, wide float64) []string {
	p.typeface("", 1)
	return p.doc.SplitText(pot.Hex+" "+pot.Word+", "+pot.Shade, wide-2*boxPad-patchWide-boxPad)
}

func (p sheetPage) titleLines(pot sheetPot, wide float64) []string {
	p.typeface("B", 1)
	return p.doc.SplitText(p.shown(pot.Title), wide-2*boxPad)
}

func (p sheetPage) potHigh(pot sheetPot, wide float64) float64 {
	lines := len(p.titleLines(pot, wide))
	for _, a := range pot.Adds {
		lines += len(p.addLines(a, wide))
	}
	high := 2*boxPad + float64(lines)*p.line
	if pot.Hex != "" {
		high += 1 + max(patchHigh, float64(len(p.shadeLines(pot, wide)))*p.line)
	}
	return high
}

func (p sheetPage) pot(pot sheetPot, left, top, wide, high float64) {
	p.doc.SetDrawColor(136, 136, 136)
	p.doc.Rect(left, top, wide, high, "D")
	y := top + boxPad
	write := func(x, w float64, words, align string) {
		p.doc.SetXY(x, y)
		p.doc.CellFormat(w, p.line, words, "", 0, align, false, 0, "")
	}
	for _, l := range p.titleLines(pot, wide) {
		write(left+boxPad, wide, l, "L")
		y += p.line
	}
	for _, a := range pot.Adds {
		lines := p.addLines(a, wide)
		p.typeface("B", 1)
		write(left+boxPad, amountWide-2, a.Amount, "R")
		p.typeface("", 1)
		for _, l := range lines {
			write(left+boxPad+amountWide, wide, l, "L")
			y += p.line
		}
	}
	if pot.Hex == "" {
		return
	}
	y++
	p.fill(pot.Hex)
	p.doc.Rect(left+boxPad, y, patchWide, patchHigh, "FD")
	for _, l := range p.shadeLines(pot, wide) {
		write(left+2*boxPad+patchWide, wide, l, "L")
		y += p.line
	}
}

const stepIndent = 6.0

func (p sheetPage) step(s sheetStep) {
	p.room(2 * p.line)
	p.typeface("", 1)
	p.doc.CellFormat(stepIndent, p.line, fmt.Sprintf("%d.", s.Number), "", 0, "L", false, 0, "")
	p.doc.SetLeftMargin(pageMargin + stepIndent)
	p.words(strings.TrimSpace(s.Do+" "+s.When), 1)
	if s.Adds != "" {
		p.typeface("B", 1)
		p.words(s.Adds+".", 1)
	}
	p.typeface("", 0.87)
	for _, c := range s.Cautions {
		p.words("Caution: "+c, 0.87)
	}
	p.doc.SetLeftMargin(pageMargin)
	p.doc.SetX(pageMargin)
	p.doc.Ln(0.6)
}

// lots draws a line to write each lot on, two beside each other.
func (p sheetPage) lots(lots []sheetLot) {
	var labels []string
	for _, l := range lots {
		label := l.What
		if l.Lot != "" {
			label += " (" + l.Lot + " on record)"
		}
		labels = append(labels, label)
	}
	labels = append(labels, "batch number", "poured on", "by")
	const high, gap = 6.5, 6.0
	wide := (pageWide - 2*pageMargin - gap) / 2
	p.typeface("", 1)
	for row := range slices.Chunk(labels, 2) {
		p.room(high)
		for i, label := range row {
			x := pageMargin + float64(i)*(wide+gap)
			label = p.cut(label, wide*0.7)
			p.doc.SetXY(x, p.doc.GetY())
			p.doc.CellFormat(wide, high, label, "", 0, "LB", false, 0, "")
			p.ruleAt(x+p.doc.GetStringWidth(label)+2, x+wide, p.doc.GetY()+high-0.5)
		}
		p.doc.Ln(high)
	}
}

//go:embed benchsheet.html
var benchSheetHTML string

var benchSheetTemplate = pageTemplate("bench sheet", benchSheetHTML)

// WriteHTML writes the sheet as one HTML file that needs no other. A batch of a
// few colours prints on one page, A4 or Letter.
func (s BenchSheet) WriteHTML(w io.Writer) error { return benchSheetTemplate.Execute(w, s) }
