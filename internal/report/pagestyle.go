package report

import (
	_ "embed"
	"html/template"
)

//go:embed pagestyle.css
var pageStyle string

// pageTemplate reads a page of HTML, with the style that all pages begin with.
func pageTemplate(name, html string) *template.Template {
	page := template.Must(template.New(name).Parse(html))
	return template.Must(page.New("page style").Parse(pageStyle)).Lookup(name)
}
