package report

import "setshade/internal/workshop"

// Lost names the photographs that a copy is without, and why.
func Lost(photos []workshop.Lost) string {
	var t text
	for _, p := range photos {
		t.prose("", "Missing: %s.", p)
	}
	return t.String()
}
