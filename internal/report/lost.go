package report

import (
	"fmt"

	"setshade/internal/workshop"
)

// Copied says what is wrong with a copy, and which photographs it is without.
func Copied(found workshop.Checkup) string {
	var t text
	for _, p := range found.Damage() {
		t.prose("", "Wrong: %s.", p)
	}
	for _, p := range found.Lost {
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
