package report

import (
	"bytes"
	"fmt"
	"io"
	"slices"

	"codeberg.org/go-pdf/fpdf"
)

// documentSize is that of a document's type, in points.
const documentSize = 9.5

// documentPDF draws a document.
type documentPDF struct {
	pdfPage
	// images counts the pictures, which need names.
	images *int
}

// writePDF writes the document as a PDF for A4 and Letter.
func (d document) writePDF(w io.Writer) error {
	p := documentPDF{newPDFPage(d.title, d.at, documentSize), new(int)}
	p.doc.SetAutoPageBreak(true, pageMargin+p.line)
	p.doc.SetFooterFunc(func() {
		p.typeface("", 0.8)
		p.doc.SetXY(pageMargin, pageHigh-pageMargin)
		p.doc.CellFormat(0, p.line, p.cut(fmt.Sprintf("%s, page %d", d.title, p.doc.PageNo()), pageWide-2*pageMargin), "", 0, "L", false, 0, "")
	})
	p.typeface("B", 1.7)
	p.doc.MultiCell(0, p.line*1.8, p.shown(d.title), "", "L", false)
	p.prose(d.under)
	for _, s := range d.sections {
		p.room(2 + 3*p.line + p.least(s.blocks))
		p.doc.Ln(2)
		p.title(p.shown(s.title))
		for _, b := range s.blocks {
			p.block(b)
		}
	}
	p.doc.Ln(2)
	p.prose(d.foot())
	return p.doc.Output(w)
}

// least is the height in mm without which a heading would stand alone at the foot
// of a page.
func (p documentPDF) least(blocks []block) float64 {
	switch b := blocks[0].(type) {
	case prose:
		if len(blocks) > 1 {
			return 3*p.line + p.least(blocks[1:])
		}
	case swatchRow:
		return p.line + p.swatchesHigh(b.Patches[:min(swatchesPerRow, len(b.Patches))])
	case pictures:
		return p.picturesHigh(b)
	}
	return 4 * p.line
}

func (p documentPDF) block(b block) {
	switch b := b.(type) {
	case prose:
		p.prose(string(b))
	case remarks:
		p.remarks(b)
	case facts:
		p.facts(b)
	case swatchRow:
		p.swatches(b)
	case grid:
		p.grid(b)
	case pictures:
		p.pictures(b)
	}
	p.doc.Ln(1.2)
}

// indented writes words beside a lead.
func (p documentPDF) indented(lead, words string, indent float64) {
	p.doc.CellFormat(indent, p.line, p.cut(lead, indent), "", 0, "L", false, 0, "")
	p.doc.SetLeftMargin(pageMargin + indent)
	p.words(words, 1)
	p.doc.SetLeftMargin(pageMargin)
	p.doc.SetX(pageMargin)
}

func (p documentPDF) remarks(all remarks) {
	p.typeface("", 1)
	for _, r := range all {
		p.room(2 * p.line)
		p.indented("•", r, 4)
	}
}

// factWide is the width of what is told in facts, in mm.
const factWide = 38.0

func (p documentPDF) facts(all facts) {
	p.typeface("", 1)
	for _, f := range all {
		p.room(p.line)
		p.indented(f.What, f.Value, factWide)
	}
}

// The measures of a row of patches, in mm.
const (
	swatchesPerRow            = 6
	swatchWide                = (pageWide - 2*pageMargin) / swatchesPerRow
	swatchHigh, swatchPad     = 16.0, 2.5
	swatchLabel, swatchMargin = 0.85, 2.0
)

// room goes to the next page where so many mm are not left above the footer.
func (p documentPDF) room(high float64) { p.pdfPage.room(high + p.line) }

func (p documentPDF) swatches(all swatchRow) {
	for i, row := range slices.Collect(slices.Chunk(all.Patches, swatchesPerRow)) {
		high := p.swatchesHigh(row)
		p.room(p.line + high)
		if i == 0 && all.Title != "" {
			p.typeface("B", 1)
			p.words(all.Title, 1)
		}
		top := p.doc.GetY()
		for k, s := range row {
			p.swatch(s, pageMargin+float64(k)*swatchWide, top)
		}
		p.doc.SetXY(pageMargin, top+high)
	}
}

// swatchesHigh is the height of a row of patches with what is said of them.
func (p documentPDF) swatchesHigh(row []patch) float64 {
	most := 0
	for _, s := range row {
		title, lines := p.labels(s)
		most = max(most, len(title)+len(lines))
	}
	return swatchHigh + float64(most)*p.line*swatchLabel + 3
}

// labels is what is said of a patch, broken to its width.
func (p documentPDF) labels(s patch) (title, lines []string) {
	p.typeface("B", swatchLabel)
	title = p.doc.SplitText(p.shown(s.Title), swatchWide-swatchMargin)
	p.typeface("", swatchLabel)
	for _, l := range s.Lines {
		lines = append(lines, p.doc.SplitText(p.shown(l), swatchWide-swatchMargin)...)
	}
	return title, lines
}

func (p documentPDF) swatch(s patch, left, top float64) {
	p.doc.SetFillColor(int(surround.R), int(surround.G), int(surround.B))
	p.doc.Rect(left, top, swatchWide, swatchHigh, "F")
	wide := (swatchWide - 2*swatchPad) / float64(len(s.Hexes))
	for i, hex := range s.Hexes {
		p.fill(hex)
		p.doc.Rect(left+swatchPad+float64(i)*wide, top+swatchPad, wide, swatchHigh-2*swatchPad, "F")
	}
	title, lines := p.labels(s)
	p.typeface("B", swatchLabel)
	y := p.stack(title, left, top+swatchHigh+1, swatchWide)
	p.typeface("", swatchLabel)
	p.stack(lines, left, y, swatchWide)
}

// stack writes lines one below the other, small, and returns where they end.
func (p documentPDF) stack(lines []string, left, y, wide float64) float64 {
	for _, line := range lines {
		p.doc.SetXY(left, y)
		p.doc.CellFormat(wide, p.line*swatchLabel, line, "", 0, "L", false, 0, "")
		y += p.line * swatchLabel
	}
	return y
}

// The measures of a grid, in mm.
const (
	cellGap                   = 3.0
	cellPatchWide, cellPatchH = 7.0, 3.2
	gridType                  = 0.9
)

func (p documentPDF) grid(g grid) {
	wide := p.columns(g)
	titles := make([]cell, len(g.Titles))
	for i, t := range g.Titles {
		titles[i].Text = t
	}
	head := func() {
		p.row(titles, wide, "B")
		p.ruleAt(pageMargin, pageWide-pageMargin, p.doc.GetY()-0.3)
	}
	p.room(p.rowHigh(titles, wide, "B") + 3*p.line)
	head()
	for _, r := range g.Rows {
		before := p.doc.PageNo()
		if p.room(p.rowHigh(r, wide, "")); p.doc.PageNo() != before {
			head()
		}
		p.row(r, wide, "")
	}
}

// columns shares the page among the columns: each has what it needs, and where
// that is too much, the widest give way.
func (p documentPDF) columns(g grid) []float64 {
	need := make([]float64, len(g.Titles))
	widen := func(i int, c cell, style string) {
		p.typeface(style, gridType)
		need[i] = max(need[i], p.doc.GetStringWidth(p.shown(c.Text))+p.patchOf(c)+cellGap+1)
	}
	for i, t := range g.Titles {
		widen(i, cell{Text: t}, "B")
		need[i] = min(need[i], 22) // headings may break
	}
	for _, r := range g.Rows {
		for i, c := range r {
			widen(i, c, "")
		}
	}
	left, narrow := pageWide-2*pageMargin, slices.Sorted(slices.Values(need))
	most := left
	for i, n := range narrow {
		if share := left / float64(len(narrow)-i); n > share {
			most = share
			break
		}
		left -= n
	}
	for i := range need {
		need[i] = min(need[i], most)
	}
	return need
}

func (p documentPDF) patchOf(c cell) float64 {
	if c.Hex == "" {
		return 0
	}
	return cellPatchWide + 1.5
}

func (p documentPDF) cellLines(c cell, wide float64, style string) []string {
	p.typeface(style, gridType)
	return p.doc.SplitText(p.shown(c.Text), wide-p.patchOf(c)-cellGap)
}

func (p documentPDF) rowHigh(r []cell, wide []float64, style string) float64 {
	most := 1
	for i, c := range r {
		most = max(most, len(p.cellLines(c, wide[i], style)))
	}
	return float64(most)*p.line*gridType + 1
}

func (p documentPDF) row(r []cell, wide []float64, style string) {
	top, left := p.doc.GetY(), pageMargin
	high := p.rowHigh(r, wide, style)
	for i, c := range r {
		if c.Hex != "" {
			p.doc.SetFillColor(int(surround.R), int(surround.G), int(surround.B))
			p.doc.Rect(left, top+0.1, cellPatchWide, cellPatchH+0.6, "F")
			p.fill(c.Hex)
			p.doc.Rect(left+0.8, top+0.8, cellPatchWide-1.6, cellPatchH-0.8, "F")
		}
		for k, line := range p.cellLines(c, wide[i], style) {
			p.doc.SetXY(left+p.patchOf(c), top+float64(k)*p.line*gridType)
			p.doc.CellFormat(wide[i], p.line*gridType, line, "", 0, "L", false, 0, "")
		}
		left += wide[i]
	}
	p.doc.SetXY(pageMargin, top+high)
}

// The measures of pictures, in mm.
const pictureGap, pictureMost = 3.0, 125.0

// pictureWide is the width of each picture of a row.
func pictureWide(row pictures) float64 {
	n := float64(len(row))
	return min((pageWide-2*pageMargin-pictureGap*(n-1))/n, pictureMost)
}

// high is the height of a picture of a width.
func (p picture) high(wide float64) float64 { return wide * float64(p.High) / float64(p.Wide) }

func (p documentPDF) caption(one picture, wide float64) []string {
	p.typeface("", swatchLabel)
	return p.doc.SplitText(p.shown(one.Caption), wide)
}

func (p documentPDF) picturesHigh(row pictures) float64 {
	wide, most := pictureWide(row), 0.0
	for _, one := range row {
		most = max(most, one.high(wide)+float64(len(p.caption(one, wide)))*p.line*swatchLabel)
	}
	return most + 1
}

// pictures stand in one row.
func (p documentPDF) pictures(row pictures) {
	wide, high := pictureWide(row), p.picturesHigh(row)
	options := fpdf.ImageOptions{ImageType: "PNG"}
	p.room(high)
	top := p.doc.GetY()
	for i, one := range row {
		*p.images++
		name := fmt.Sprintf("picture %d", *p.images)
		left := pageMargin + float64(i)*(wide+pictureGap)
		p.doc.RegisterImageOptionsReader(name, options, bytes.NewReader(one.png))
		p.doc.ImageOptions(name, left, top, wide, one.high(wide), false, options, 0, "")
		p.stack(p.caption(one, wide), left, top+one.high(wide), wide)
	}
	p.doc.SetXY(pageMargin, top+high)
}
