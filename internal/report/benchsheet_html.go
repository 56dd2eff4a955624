package report

import (
	_ "embed"
	"io"
)

//go:embed benchsheet.html
var benchSheetHTML string

var benchSheetTemplate = pageTemplate("bench sheet", benchSheetHTML)

// WriteHTML writes the sheet as one HTML file that needs no other. A batch of a
// few colours prints on one page, A4 or Letter.
func (s BenchSheet) WriteHTML(w io.Writer) error { return benchSheetTemplate.Execute(w, s) }
