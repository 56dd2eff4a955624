package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"io"
	"strings"
)

//go:embed document.html
var documentHTML string

var documentTemplate = pageTemplate("document", documentHTML)

// documentPage is a document as its template reads it.
type documentPage struct {
	Title, Under, Foot string
	Sections           []sectionPage
}

type sectionPage struct {
	Title  string
	Blocks []blockPage
}

// blockPage is a block with the name of its kind.
type blockPage struct {
	Kind string
	It   any
}

// writeHTML writes the document as one HTML file that needs no other: pictures
// are in it, colours are drawn as SVG, and it has no script and no style but
// that of one style element.
func (d document) writeHTML(w io.Writer) error {
	page := documentPage{Title: d.title, Under: d.under, Foot: d.foot()}
	for _, s := range d.sections {
		out := sectionPage{Title: s.title}
		for _, b := range s.blocks {
			out.Blocks = append(out.Blocks, blockPage{kindOf(b), b})
		}
		page.Sections = append(page.Sections, out)
	}
	return documentTemplate.Execute(w, page)
}

func kindOf(b block) string {
	switch b.(type) {
	case prose:
		return "prose"
	case remarks:
		return "remarks"
	case facts:
		return "facts"
	case swatchRow:
		return "swatches"
	case grid:
		return "grid"
	case pictures:
		return "pictures"
	}
	panic("report: a block of no kind")
}

// Source is the picture as an address that holds all of it (RFC 2397).
func (p picture) Source() template.URL {
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(p.png))
}

// StyleSource names the style of these pages for a Content-Security-Policy:
// style-src with it, and img-src data:, are all that a report needs.
func StyleSource() string {
	var page bytes.Buffer
	if err := (document{}).writeHTML(&page); err != nil {
		panic("report: an empty document is written: " + err.Error())
	}
	_, rest, _ := strings.Cut(page.String(), "<style>")
	style, _, _ := strings.Cut(rest, "</style>")
	digest := sha256.Sum256([]byte(style))
	return "'sha256-" + base64.StdEncoding.EncodeToString(digest[:]) + "'"
}

//go:embed pagestyle.css
var pageStyle string

// pageTemplate reads a page of HTML, with the style that all pages begin with.
func pageTemplate(name, html string) *template.Template {
	page := template.Must(template.New(name).Parse(html))
	return template.Must(page.New("page style").Parse(pageStyle)).Lookup(name)
}
