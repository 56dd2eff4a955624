package report

import (
	"fmt"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
)

// The page is as wide as A4 and as high as Letter, in mm, so that it prints on
// both without being made smaller.
const (
	pageWide, pageHigh = 210.0, 279.4
	pageMargin         = 11.0
)

// pdfPage is a document that is written from the top down, breaking pages by itself.
type pdfPage struct {
	doc *fpdf.Fpdf
	// size is that of the type in points, line the height of a line in mm.
	size, line float64
	font       *sfnt.Font
}

const pdfFont = "Go"

// newPDFPage begins a document made at a time, in type of so many points.
func newPDFPage(title string, at time.Time, size float64) pdfPage {
	doc := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: pageWide, Ht: pageHigh}})
	doc.SetCatalogSort(true)
	doc.SetCreationDate(at)
	doc.SetModificationDate(at)
	doc.SetTitle(title, true)
	doc.SetMargins(pageMargin, pageMargin, pageMargin)
	doc.SetAutoPageBreak(true, pageMargin)
	doc.AddUTF8FontFromBytes(pdfFont, "", goregular.TTF)
	doc.AddUTF8FontFromBytes(pdfFont, "B", gobold.TTF)
	doc.SetCellMargin(0)
	doc.AddPage()
	font, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic("report: built-in font: " + err.Error())
	}
	return pdfPage{doc, size, size * 0.45, font}
}

// typeface chooses the type: "" or "B" for bold, times the usual size.
func (p pdfPage) typeface(style string, times float64) {
	p.doc.SetFont(pdfFont, style, p.size*times)
}

func (p pdfPage) title(words string) {
	p.doc.Ln(1.5)
	p.typeface("B", 1.1)
	p.doc.CellFormat(0, p.line*1.3, words, "B", 1, "L", false, 0, "")
	p.doc.Ln(0.8)
}

func (p pdfPage) prose(words string) {
	if words == "" {
		return
	}
	p.typeface("", 1)
	p.words(words, 1)
}

// words writes a paragraph in the type chosen, from where the pen is.
func (p pdfPage) words(words string, times float64) {
	p.doc.MultiCell(0, p.line*times, p.shown(words), "", "L", false)
}

// room goes to the next page where so many mm are not left on this one.
func (p pdfPage) room(high float64) {
	if p.doc.GetY()+high > pageHigh-pageMargin {
		p.doc.AddPage()
	}
}

// fill chooses the colour of a hex code.
func (p pdfPage) fill(hex string) {
	var r, g, b int
	if _, err := fmt.Sscanf(hex, "#%02x%02x%02x", &r, &g, &b); err != nil {
		panic("report: a hex code is written by Lab.Hex: " + hex)
	}
	p.doc.SetFillColor(r, g, b)
}

// cut shortens what is wider than so many mm.
func (p pdfPage) cut(words string, wide float64) string {
	lines := p.doc.SplitText(p.shown(words), wide)
	if len(lines) > 1 {
		return lines[0] + "…"
	}
	return p.shown(words)
}

// rule draws a line to write on.
func (p pdfPage) rule(from, to float64) { p.ruleAt(from, to, p.doc.GetY()) }

func (p pdfPage) ruleAt(from, to, y float64) {
	p.doc.SetDrawColor(136, 136, 136)
	p.doc.SetLineWidth(0.2)
	p.doc.Line(from, y, to, y)
}

// shown replaces the characters that the font cannot show by question marks.
func (p pdfPage) shown(words string) string {
	return strings.Map(func(r rune) rune {
		if at, err := p.font.GlyphIndex(nil, r); err != nil || at == 0 {
			return '?'
		}
		return r
	}, words)
}
