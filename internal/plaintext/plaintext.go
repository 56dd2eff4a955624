// Package plaintext is the boundary for text that people, files and other machines
// bring: what is kept looks the same to all who read it, and commands no terminal.
// The package is pure.
package plaintext

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// IsHidden reports whether a character shows nothing by itself and could mislead: it
// controls a terminal, turns the direction of what follows (U+202E), or stands unseen in
// a name (U+200B). Of the formatting characters (general category Cf) only those stay
// that are seen, and the joiners, which Persian, Indic scripts and emoji are written
// with.
func IsHidden(r rune) bool {
	const nonJoiner, joiner = 0x200c, 0x200d
	if r == nonJoiner || r == joiner || unicode.Is(unicode.Prepended_Concatenation_Mark, r) {
		return false
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}

// IsHiddenInLines is IsHidden for a text of several lines, which may have tabs too.
func IsHiddenInLines(r rune) bool { return IsHidden(r) && !strings.ContainsRune("\t\r\n", r) }

// Clean puts a text of one or several lines into composed form (NFC, UAX #15), and the
// replacement character in the place of hidden characters and of bytes that are none.
func Clean(text string) string {
	return norm.NFC.String(strings.Map(func(r rune) rune {
		if IsHiddenInLines(r) {
			return unicode.ReplacementChar
		}
		return r
	}, text))
}

// Name is Clean for the name of a file, on one line and of at most 255 bytes.
func Name(text string) string {
	const most = 255
	name := Clean(strings.Join(strings.Fields(text), " "))
	return strings.ToValidUTF8(name[:min(len(name), most)], "")
}

// Fold returns what a name is compared and sorted by. Two names in composed form have
// the same key exactly when strings.EqualFold says that they are equal; SQLite's own
// NOCASE folds only A to Z (sqlite.org/datatype3.html, section 7.1), and makers name
// dyes in every language.
func Fold(name string) string { return strings.Map(firstOfCase, norm.NFC.String(name)) }

// Same reports whether two names are one, however they are typed.
func Same(a, b string) bool { return Fold(a) == Fold(b) }

// firstOfCase returns the smallest of the runes that differ from r only in
// case. unicode.SimpleFold goes round them in a ring.
func firstOfCase(r rune) rune {
	first := r
	for next := unicode.SimpleFold(r); next != r; next = unicode.SimpleFold(next) {
		first = min(first, next)
	}
	return first
}
