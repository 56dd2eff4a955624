package store

import (
	"strings"
	"unicode"
)

// nameKey returns what a name is compared and sorted by: two names have the
// same key exactly when strings.EqualFold says that they are equal. SQLite's
// own NOCASE folds only A to Z (sqlite.org/datatype3.html, section 7.1), and
// makers name dyes in every language.
func nameKey(name string) string { return strings.Map(firstOfCase, name) }

// firstOfCase returns the smallest of the runes that differ from r only in
// case. unicode.SimpleFold goes round them in a ring.
func firstOfCase(r rune) rune {
	first := r
	for next := unicode.SimpleFold(r); next != r; next = unicode.SimpleFold(next) {
		first = min(first, next)
	}
	return first
}
