package cli

import (
	"encoding/json"
	"io"
)

// writeJSON writes a result as indented JSON with its own line end.
//
// The shapes are stable: fields may be added, and none is renamed or removed.
// A list is an object with one array in it, named for what it holds. Units
// stand in the names of fields. What is not recorded is null.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// recorded is a figure for JSON: null for 0, which stands for a figure that
// nobody gave.
func recorded(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

// orEmpty is a list for JSON: [] where there is none.
func orEmpty(texts []string) []string {
	if texts == nil {
		return []string{}
	}
	return texts
}
