package report

import (
	_ "embed"
	"html/template"
	"io"
)

//go:embed benchsheet.html
var benchSheetHTML string

var benchSheetTemplate = template.Must(template.New("bench sheet").Parse(benchSheetHTML))

// WriteHTML writes the sheet as one HTML file that needs no other. A batch of a
// few colours prints on one page, A4 or Letter.
func (s BenchSheet) WriteHTML(w io.Writer) error { return benchSheetTemplate.Execute(w, s) }
