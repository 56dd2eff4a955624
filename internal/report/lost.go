package report

import (
	"fmt"

	"setshade/internal/workshop"
)

// Lost names the photographs that a copy is without, and why.
func Lost(photos []workshop.Lost) string {
	var t text
	for _, p := range photos {
		t.prose("", "Missing: %s.", p)
	}
	return t.String()
}

// PutBackText says in sentences that a photograph is in the store again.
func PutBackText(p *workshop.PutBack) string {
	told := fmt.Sprintf("Put back %s, the photograph of %s: it has the bytes that were recorded. It was not read again, and nothing else was changed.", p.Name, p.Of())
	if p.Aside != "" {
		told += fmt.Sprintf(" What stood in its place is now %s; remove it if you do not need it.", p.Aside)
	}
	return told
}
