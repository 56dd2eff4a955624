package workshop

import (
	"fmt"
	"io"

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
