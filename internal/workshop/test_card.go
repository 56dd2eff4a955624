package workshop

import (
	"fmt"
	"io"
	"strings"

	"setshade/internal/card"
	"setshade/internal/card/pdf"
)

// CardOfPrint is the test card on a paper, in the print of that number.
func CardOfPrint(paper card.Size, number int) (card.Geometry, error) {
	if number < 1 || number > card.LastPrint {
		return card.Geometry{}, fmt.Errorf("prints are numbered 1 to %d; use the number of one that is used up once its anchor is forgotten", card.LastPrint)
	}
	return card.LayoutOfPrint(paper, number), nil
}

// WriteCard writes a test card as PDF to print: on a sheet, or on paper of its size when
// the sheet is nil.
func WriteCard(w io.Writer, g card.Geometry, sheet *card.Layup) error {
	if sheet == nil {
		return pdf.Write(w, g)
	}
	return pdf.WriteSheet(w, g, *sheet)
}

// Paper is what a printer holds, and the card that is printed on it.
type Paper struct {
	Name string
	Card card.Size
	// Sheet is where cards lie on it; nil for paper of the card's size.
	Sheet *card.Layup
}

// Papers lists full sheets, each with the size of card of which it holds most, then
// papers of a card's own size.
func Papers() []Paper {
	var papers []Paper
	for _, sheet := range card.Sheets() {
		best := Paper{Name: sheet.String()}
		for _, size := range card.Sizes() {
			if l := sheet.Layup(size); best.Sheet == nil || len(l.Corners) > len(best.Sheet.Corners) {
				best.Card, best.Sheet = size, &l
			}
		}
		papers = append(papers, best)
	}
	for _, size := range card.Sizes() {
		papers = append(papers, Paper{Name: size.String(), Card: size})
	}
	return papers
}

// PaperNamed finds a paper by its name, without case.
func PaperNamed(name string) (Paper, error) {
	for _, p := range Papers() {
		if strings.EqualFold(p.Name, name) {
			return p, nil
		}
	}
	return Paper{}, fmt.Errorf("%.40q is not a paper that the card is printed on; choose one of those listed", name)
}
